// Change for cash, while it is typed. The server works it out again.
import { units, written } from "./sums.js";

const form = document.querySelector("[data-change-form]");
if (form) {
  const places = Number(form.dataset.places);
  const said = form.querySelector("[data-change]");
  const show = () => {
    const amount = units(form.elements.amount.value, places);
    const given = units(form.elements.given.value, places);
    const back = amount === null || given === null ? -1 : given - amount;
    said.hidden = back < 0;
    said.textContent = back < 0 ? "" : "Back " + written(back, places);
  };
  form.addEventListener("input", show);
  show();
}
