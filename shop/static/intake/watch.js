// Nothing of the last person comes back from the browser's memory; a kiosk left alone for two minutes locks itself.
addEventListener("pageshow", (event) => {
  if (event.persisted) location.reload();
});

const { kiosk, awake, lock, home } = document.body.dataset;
const IDLE = 120_000;
const WARN = 20_000;
const CALL = 30_000;

const token = () => document.querySelector("input[name=csrfmiddlewaretoken]")?.value ?? "";
const post = (url) => fetch(url, { method: "POST", headers: { "X-CSRFToken": token() }, redirect: "manual" });

if (kiosk) {
  let touched = Date.now();
  let called = Date.now();
  let locking = false;
  const warning = document.createElement("p");
  warning.className = "idle-warning";
  warning.setAttribute("role", "alert");
  warning.hidden = true;
  warning.textContent = "Locking soon; what was typed is kept. Touch the glass to go on.";
  document.body.append(warning);

  const call = async () => {
    called = Date.now();
    try {
      const answer = await post(awake);
      if (answer.status !== 204) location.replace(home);
    } catch {
      // No line for a moment: the next touch tries again, and the server has its own clock.
    }
  };
  const touch = () => {
    touched = Date.now();
    warning.hidden = true;
    if (touched - called > CALL) call();
  };
  for (const name of ["pointerdown", "keydown", "input", "wheel", "touchmove"]) {
    addEventListener(name, touch, { passive: true, capture: true });
  }
  setInterval(async () => {
    const left = IDLE - (Date.now() - touched);
    warning.hidden = left > WARN;
    if (left > 0 || locking) return;
    locking = true;
    try {
      await post(lock);
    } catch {
      // Without a line the page must go blank all the same.
    }
    document.body.replaceChildren();
    location.replace(home);
  }, 1000);
}
