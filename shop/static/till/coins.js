// Coins and notes add up while they are counted, and the difference is said at once. The server counts again.
import { units, written } from "./sums.js";

const form = document.querySelector("form.count");
if (form) {
  const places = Number(form.dataset.places);
  const rows = form.querySelector(".coins tbody");
  const said = form.querySelector("[data-difference]");
  const expected = units(form.querySelector("[data-expected]").dataset.expected, places); // with a minus where more went out
  const begun = form.elements.opening;
  const sum = () => {
    let total = null;
    for (const row of rows.rows) {
      const worth = units(row.querySelector("[name=worth]").value, places);
      const many = row.querySelector("[name=many]").value.trim();
      if (worth === null || !/^\d+$/.test(many)) continue;
      total = (total || 0) + worth * Number(many);
    }
    return total;
  };
  const says = form.querySelector("[data-expected]");
  const show = () => {
    const coins = sum();
    const wanted = expected === null ? null : expected + ((begun && units(begun.value, places)) || 0);
    if (begun && wanted !== null) says.textContent = written(wanted, places);
    const typed = units(form.elements.total.value, places);
    form.elements.total.placeholder = coins === null ? "" : written(coins, places);
    const lies = typed === null ? coins : typed;
    said.hidden = lies === null || wanted === null;
    if (said.hidden) return;
    const differs = lies - wanted;
    said.textContent = differs === 0 ? "As expected." : written(Math.abs(differs), places) + (differs < 0 ? " short." : " over.");
  };
  const more = form.querySelector("[data-more]");
  more.hidden = false;
  more.addEventListener("click", () => {
    const row = rows.rows[rows.rows.length - 1].cloneNode(true);
    for (const field of row.querySelectorAll("input")) {
      field.value = "";
      field.setAttribute("aria-label", field.getAttribute("aria-label").replace(/\d+$/, rows.rows.length + 1));
    }
    rows.append(row);
    row.querySelector("input").focus();
  });
  form.addEventListener("input", show);
  show();
}
