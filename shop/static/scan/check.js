// Sends each check photo as soon as it is taken and shows it beside its pair; what is ticked below stays ticked.
// Without this module the photos go with “Keep these photos”.
const send = async (input) => {
  const section = input.closest("[data-views]");
  const form = input.form;
  const frame = input.closest("li").querySelector(".frame");
  if (frame) {
    frame.textContent = "sending";
    frame.classList.add("sending");
  }
  try {
    const answer = await fetch(form.action, { method: "POST", body: new FormData(form), credentials: "same-origin" });
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    const fresh = page.querySelector("[data-views]");
    if (!fresh) throw new Error(String(answer.status));
    section.replaceWith(fresh);
    document.getElementById(input.id)?.focus();
  } catch {
    if (frame) frame.textContent = "Not sent. Take it again when the shop’s network is back.";
  }
};
document.addEventListener("change", (event) => {
  const input = event.target;
  if (input instanceof HTMLInputElement && input.type === "file" && input.files.length && input.closest("[data-views]")) send(input);
});
