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

// Views are drawn in millimetres: x from the instrument's middle, y down from the top of its body (data-body long);
// a bow's x runs from its tip.
const NAMES = {
  front: "front", back: "back", "bass-side": "bass side", "treble-side": "treble side",
  "player-side": "player’s side", "far-side": "far side", above: "from above", head: "head", frog: "frog",
};
const sheet = document.querySelector("[data-drawing]");
const onBow = (view, x, long) => {
  if (view === "head" || view === "frog") return NAMES[view];
  const far = (view === "far-side" ? long - x : x) / long;
  const place = far < 0.05 ? "head" : far > 0.9 ? "frog" : far < 0.35 ? "stick near the head" : far < 0.65 ? "middle of the stick" : "stick near the frog";
  return `${NAMES[view]}, ${place}`;
};
const where = (svg, view, x, y) => {
  const long = Number(svg.dataset.body);
  if (svg.dataset.sheet === "bow") return onBow(view, x, long);
  const parts = [NAMES[view]];
  const far = y / long;
  const waist = /^(guitar|mandolin)/.test(svg.dataset.sheet) ? "waist" : "C-bout";
  if (far < 0) parts.push(y < -0.35 * long ? "head" : "neck");
  else parts.push(far < 0.37 ? "upper bout" : far < 0.64 ? waist : "lower bout");
  if (view === "front" || view === "back") parts.push((x < 0) === (view === "front") ? "bass" : "treble");
  return parts.join(", ");
};
const nearest = (svg, event) => {
  const hit = event.target.closest("[data-view]");
  if (hit) return hit;
  let best = null;
  for (const group of svg.querySelectorAll("[data-view]")) {
    const box = group.getBoundingClientRect();
    const off = Math.max(box.left - event.clientX, event.clientX - box.right, box.top - event.clientY, event.clientY - box.bottom, 0);
    if (!best || off < best.off) best = { group, off };
  }
  return best && best.off <= 24 ? best.group : null;
};
sheet?.addEventListener("click", (event) => {
  const svg = sheet.querySelector("svg");
  const group = nearest(svg, event);
  if (!group) return;
  const point = new DOMPoint(event.clientX, event.clientY).matrixTransform(group.getScreenCTM().inverse());
  const words = where(svg, group.dataset.view, point.x, point.y);
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
