// A pad to sign on: strokes as vectors [x, y, ms] on a field 1000 wide and 400 high, kept in a hidden input as JSON.
// <div data-pad><canvas></canvas><input type="hidden" name="…"><button type="button" data-wipe>…</button></div>
const WIDE = 1000;
const HIGH = 400;

class Pad {
  constructor(root) {
    this.root = root;
    this.canvas = root.querySelector("canvas");
    this.kept = root.querySelector("input[type=hidden]");
    this.strokes = [];
    this.drawing = null;
    this.began = null;
    try {
      this.strokes = JSON.parse(this.kept.value || "[]");
    } catch {
      this.strokes = [];
    }
    this.canvas.addEventListener("pointerdown", (event) => this.down(event));
    this.canvas.addEventListener("pointermove", (event) => this.move(event));
    for (const name of ["pointerup", "pointercancel"]) this.canvas.addEventListener(name, () => this.up());
    root.querySelector("[data-wipe]")?.addEventListener("click", () => this.wipe());
    new ResizeObserver(() => this.fit()).observe(this.canvas);
    this.fit();
  }

  point(event) {
    const box = this.canvas.getBoundingClientRect();
    this.began ??= event.timeStamp;
    const x = Math.round(((event.clientX - box.left) / box.width) * WIDE);
    const y = Math.round(((event.clientY - box.top) / box.height) * HIGH);
    return [Math.min(Math.max(x, 0), WIDE), Math.min(Math.max(y, 0), HIGH), Math.round(event.timeStamp - this.began)];
  }

  down(event) {
    if (event.button > 0) return;
    event.preventDefault();
    this.canvas.setPointerCapture(event.pointerId);
    this.drawing = event.pointerId;
    this.strokes.push([this.point(event)]);
    this.paint();
  }

  move(event) {
    if (this.drawing !== event.pointerId) return;
    for (const one of event.getCoalescedEvents?.() ?? [event]) this.strokes.at(-1).push(this.point(one));
    this.paint();
  }

  up() {
    if (this.drawing === null) return;
    this.drawing = null;
    this.keep();
  }

  wipe() {
    this.strokes = [];
    this.began = null;
    this.keep();
    this.paint();
  }

  keep() {
    this.kept.value = this.strokes.length ? JSON.stringify(this.strokes) : "";
    this.root.classList.toggle("signed", this.strokes.length > 0);
    this.root.dispatchEvent(new CustomEvent("pad:change", { bubbles: true }));
  }

  fit() {
    const ratio = window.devicePixelRatio || 1;
    const box = this.canvas.getBoundingClientRect();
    this.canvas.width = Math.max(1, Math.round(box.width * ratio));
    this.canvas.height = Math.max(1, Math.round(box.height * ratio));
    this.paint();
  }

  paint() {
    const ink = this.canvas.getContext("2d");
    ink.clearRect(0, 0, this.canvas.width, this.canvas.height);
    ink.lineWidth = Math.max(2, this.canvas.width / 300);
    ink.lineCap = ink.lineJoin = "round";
    ink.strokeStyle = "#1b2a57";
    for (const stroke of this.strokes) {
      ink.beginPath();
      stroke.forEach(([x, y], index) => {
        const place = [(x / WIDE) * this.canvas.width, (y / HIGH) * this.canvas.height];
        if (index === 0) ink.moveTo(...place);
        ink.lineTo(...place);
      });
      ink.stroke();
    }
  }
}

for (const root of document.querySelectorAll("[data-pad]")) new Pad(root);
