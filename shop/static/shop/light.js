// Day or evening light, kept per device; the first visit follows the device.
const KEY = "light";
const root = document.documentElement;
const wanted = () => {
  try {
    return localStorage.getItem(KEY);
  } catch {
    return null;
  }
};
const show = (light) => {
  if (light === "evening") root.dataset.light = "evening";
  else delete root.dataset.light;
  for (const button of document.querySelectorAll("button[data-light]")) {
    button.textContent = light === "evening" ? "Day" : "Evening";
    button.hidden = false;
  }
};
show(wanted() ?? (matchMedia("(prefers-color-scheme: dark)").matches ? "evening" : "day"));
document.addEventListener("click", (event) => {
  if (!event.target.closest?.("button[data-light]")) return;
  const light = root.dataset.light === "evening" ? "day" : "evening";
  try {
    localStorage.setItem(KEY, light);
  } catch {
    // A private window keeps no choice; the page still changes.
  }
  show(light);
});
