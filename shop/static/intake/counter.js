// One more, one less; and the pieces as the shop counts them. Keeping is keep.js: a number that changes is sent at once.
const list = document.querySelector("[data-counted]");
const sum = document.querySelector("[data-sum]");
const note = document.querySelector("[data-changed]");

document.documentElement.classList.add("js");
for (const button of document.querySelectorAll("[data-by]")) {
  const field = button.parentElement.querySelector("input");
  button.hidden = false;
  button.addEventListener("click", () => {
    const now = Number.parseInt(field.value, 10) || 0;
    const next = Math.max(0, now + Number(button.dataset.by));
    if (next === now) return;
    field.value = next ? String(next) : "";
    field.closest("li").classList.toggle("some", next > 0);
    field.dispatchEvent(new Event("change", { bubbles: true }));
  });
}
for (const field of document.querySelectorAll(".stepper input")) {
  field.addEventListener("focus", () => field.select());
}

// A piece that is drawn as it was stays, with what is being typed into it.
const redraw = (html) => {
  const fresh = document.createElement("ul");
  fresh.innerHTML = html;
  const old = new Map([...list.children].map((one) => [one.dataset.piece, one]));
  const rows = [...fresh.children].map((one) => {
    const before = old.get(one.dataset.piece);
    if (!before) return one;
    if (before.dataset.drawn === one.dataset.drawn) return before;
    for (const field of before.querySelectorAll("input[type=text], input:not([type])")) {
      const twin = one.querySelector(`[name="${field.name}"]`);
      if (twin) twin.value = field.value;
    }
    return one;
  });
  const focused = document.activeElement?.id;
  list.replaceChildren(...rows);
  if (focused && document.activeElement?.id !== focused) document.getElementById(focused)?.focus();
};

document.addEventListener("kept", ({ detail }) => {
  if (!("html" in detail)) return;
  redraw(detail.html);
  sum.hidden = !list.querySelector(".counted");
  sum.querySelector("[data-total]").textContent = detail.total;
  sum.querySelector("[data-ready]").textContent = detail.ready;
  note.textContent = detail.changed;
  note.hidden = !detail.changed;
});

// A quick hand types a name before the page listens: then it is looked up once it does.
addEventListener("load", () => {
  const sought = document.querySelector("#sought");
  if (sought && sought.value !== sought.defaultValue) sought.form.requestSubmit();
});
