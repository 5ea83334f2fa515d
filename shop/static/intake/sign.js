// Which pad is to be signed now, what is still to come, and the mark that follows the answer about the photos.
const form = document.querySelector("#seal");
const seal = document.querySelector("[data-seal]");
const words = document.querySelector("[data-sign-words]");
const short = document.querySelector("[data-short]");
const consent = document.querySelector("[data-consent]");

if (form) {
  const pads = [...form.querySelectorAll("[data-pad]")];
  const signed = (pad) => {
    const who = pad.dataset.who;
    const typed = form.elements[`${who}_typed`].value.trim() && form.elements[`${who}_witness`].value.trim();
    return Boolean(typed) || form.elements[`${who}_strokes`].value.length > 2;
  };
  const look = () => {
    const open = pads.filter((pad) => !signed(pad));
    for (const pad of pads) {
      pad.classList.toggle("now", pad === open[0]);
      pad.classList.toggle("signed", !open.includes(pad));
    }
    words.textContent = ["Both have signed.", "One signature to come.", "Two signatures to come."][open.length];
    if (open.length) seal.setAttribute("aria-disabled", "true");
    else seal.removeAttribute("aria-disabled");
  };
  for (const name of ["pad:change", "input"]) form.addEventListener(name, look);
  form.addEventListener("pad:change", () => {
    form.elements.device_at.value = new Date().toISOString();
  });
  seal.addEventListener("click", (event) => {
    if (seal.getAttribute("aria-disabled") !== "true") return;
    event.preventDefault();
    const pad = form.querySelector(".pad.now");
    pad?.scrollIntoView({ block: "center" });
    words.textContent = `${pad?.querySelector("b").textContent ?? "Someone"} has not signed yet.`;
  });
  consent?.addEventListener("change", () => {
    short.textContent = consent.checked ? short.dataset.on : short.dataset.off;
  });
  if (consent?.checked) short.textContent = short.dataset.on;
  document.querySelector("[data-unsigned]")?.addEventListener("click", () => {
    document.querySelector("#unsigned").open = true;
  });
  let sent = false;
  form.addEventListener("submit", (event) => {
    if (sent) event.preventDefault();
    sent = true;
  });
  look();
}
const print = document.querySelector("[data-print]");
if (print) {
  print.hidden = false;
  print.addEventListener("click", () => window.print());
}
