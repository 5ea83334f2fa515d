// One millimetre more or less, and a touch on the drawing that says where.
const extent = document.querySelector("#extent");
const by = (step) => {
  const now = Number.parseFloat(extent.value.replace(",", ".")) || 0;
  extent.value = String(Math.max(0, Math.round((now + step) * 10) / 10));
  extent.dispatchEvent(new Event("input", { bubbles: true }));
};
for (const [name, step] of [["[data-less]", -1], ["[data-more-mm]", 1]]) {
  const button = document.querySelector(name);
  if (!button) continue;
  button.hidden = false;
  button.addEventListener("click", () => by(step));
}

// Views are drawn in millimetres of the instrument, x from its middle, y down from the top of the body.
const NAMES = { front: "front", back: "back", "bass-side": "bass side", "treble-side": "treble side" };
const sheet = document.querySelector("[data-drawing]");
const where = (view, x, y, body) => {
  const parts = [NAMES[view] ?? view];
  const far = y / body;
  if (far < 0) parts.push(y < -0.35 * body ? "head" : "neck");
  else parts.push(far < 0.37 ? "upper bout" : far < 0.64 ? "C-bout" : "lower bout");
  if (view === "front" || view === "back") parts.push((x < 0) === (view === "front") ? "bass" : "treble");
  return parts.join(", ");
};
sheet?.addEventListener("click", (event) => {
  const svg = sheet.querySelector("svg");
  let best = null;
  for (const group of svg.querySelectorAll("[data-view]")) {
    const box = group.getBoundingClientRect();
    const off = Math.max(box.left - event.clientX, event.clientX - box.right, 0);
    if (!best || off < best.off) best = { group, off };
  }
  if (!best || best.off > 24) return;
  const { group } = best;
  const point = new DOMPoint(event.clientX, event.clientY).matrixTransform(group.getScreenCTM().inverse());
  const box = group.getBBox();
  const words = where(group.dataset.view, point.x, point.y, box.y + box.height);
  const field = document.querySelector("#line-form [name=where]");
  if (field && !field.value) {
    field.value = words;
    field.dispatchEvent(new Event("input", { bubbles: true }));
    document.querySelector("#term").focus();
    return;
  }
  const link = document.createElement("a");
  link.href = `${sheet.dataset.drawing}?line=new&where=${encodeURIComponent(words)}`;
  document.body.append(link);
  link.click();
});
