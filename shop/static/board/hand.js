// A tag in the hand: by pointer, by a short press of a finger, or by keys. The cords say what the gate says.
import { ask } from "./pulse.js";

const SLOP = 7; // pixels before a press becomes a drag
const PRESS = 260; // ms a finger rests before it lifts
const EDGE = 48; // pixels: nearer the edge the page slides
const KEYS = "Left and right choose a cord, Enter hangs it, Escape puts it back.";

const made = (tag, marks, words = "") => {
  const element = document.createElement(tag);
  element.className = marks;
  element.textContent = words;
  return element;
};
const point = (event) => ({ x: event.clientX, y: event.clientY });

export class Hand {
  constructor(page) {
    this.page = page;
    this.dropped = 0;
    this.bar = document.getElementById("hand");
    this.words = this.bar.querySelector("p");
    this.hangs = this.bar.querySelector("[data-hang]");
    this.clear();
    this.hangs.addEventListener("click", () => this.hang());
    this.bar.querySelector("[data-put]").addEventListener("click", () => this.put());
    if (page.root.dataset.moves) this.listen();
  }

  clear() {
    Object.assign(this, { number: "", li: null, cords: null, here: "", over: "", bids: "", drags: false, paper: null });
  }

  listen() {
    const { root } = this.page;
    let press = null;
    const forget = () => {
      clearTimeout(press?.timer);
      press = null;
    };
    root.addEventListener("pointerdown", (event) => {
      const link = event.target.closest(".tag>a");
      if (!link || event.button || !event.isPrimary || this.number) return;
      const at = point(event);
      press = { ...at, li: link.parentElement, touch: event.pointerType === "touch", id: event.pointerId };
      if (press.touch) press.timer = setTimeout(() => press && this.take(press.li, at), PRESS);
    });
    addEventListener("pointermove", (event) => {
      if (!press || event.pointerId !== press.id) return;
      const at = point(event);
      if (this.drags) return this.drag(at);
      if (Math.hypot(at.x - press.x, at.y - press.y) < SLOP) return;
      if (press.touch) forget();
      else this.take(press.li, at);
    });
    addEventListener("pointerup", (event) => {
      if (!press || event.pointerId !== press.id) return;
      forget();
      if (!this.drags) return;
      this.dropped = Date.now();
      this.drop();
    });
    addEventListener("pointercancel", () => {
      forget();
      if (this.drags) this.put();
    });
    // A lifted tag is carried; before that the finger scrolls as ever.
    root.addEventListener("touchmove", (event) => this.drags && event.cancelable && event.preventDefault(), { passive: false });
    root.addEventListener("contextmenu", (event) => press?.touch && event.preventDefault());
    root.addEventListener("dragstart", (event) => event.preventDefault());
  }

  // The click that ends a drag unfolds nothing.
  justDropped() {
    return Date.now() - this.dropped < 350;
  }

  // Lift a tag: at a point of the pointer, or (without one) for keys and buttons.
  async take(li, at = null) {
    if (this.number || !li || !this.page.root.dataset.moves) return;
    const link = li.querySelector("a");
    const size = link.getBoundingClientRect();
    this.number = li.id.slice(1);
    this.li = li;
    this.here = this.over = li.closest(".stage").dataset.stage;
    this.drags = Boolean(at);
    this.short = li.querySelector(".no").textContent;
    this.item = li.querySelector(".item").textContent;
    this.page.warn("");
    this.paper = made("div", "held-tag");
    this.paper.innerHTML = `<div class="paper">${link.innerHTML}</div>`;
    this.paper.style.width = `${Math.max(size.width, 132)}px`;
    this.paper.tabIndex = -1;
    this.paper.role = "application";
    this.paper.ariaLabel = `${this.short}, ${this.item}, in your hand`;
    this.paper.addEventListener("keydown", (event) => this.key(event));
    this.grip = at ? { x: Math.min(at.x - size.left, 60), y: Math.min(at.y - size.top, 24) } : null;
    document.getElementById("main").append(this.paper);
    document.documentElement.classList.toggle("grabbed", this.drags);
    this.mark();
    if (at) this.drag(at);
    else this.paper.focus({ preventScroll: true });
    try {
      const answer = await ask(`/rails/${this.number}/offers/`);
      if (!answer.ok) throw new Error(String(answer.status));
      const said = await answer.json();
      if (this.number !== li.id.slice(1)) return;
      if (String(said.revision) !== this.li.dataset.rev) return this.slipped();
      this.cords = said.cords;
      this.mark();
      const open = Object.values(said.cords).filter((cord) => cord.open).length;
      this.bids = `It may hang on ${open} cord${open === 1 ? "" : "s"}${open ? ", at the knot" : ""}.`;
      this.tell();
      if (this.over !== this.here) this.choose(this.over);
      else this.page.say(`${this.short}, ${this.item}, is in your hand. ${this.bids} ${KEYS}`);
    } catch {
      if (this.number) this.put();
      this.page.warn("The shop did not answer what may hang where. Try again.");
    }
  }

  // Draw what the cords say, on whatever rails are there now.
  mark() {
    const { root, all, of } = this.page;
    root.classList.toggle("mv", Boolean(this.number));
    this.bar.hidden = !this.number;
    for (const old of all(".drop,.ghost")) old.remove();
    if (!this.number) return;
    this.li.classList.add("gap");
    this.li.append(made("span", "ghost", `${this.short} lifted off`));
    for (const [code, cord] of Object.entries(this.cords ?? {})) {
      const kind = code === this.here ? "m-here" : cord.open ? "m-yes" : "m-no";
      for (const piece of of(code)) piece.classList.add(kind);
      const stage = root.querySelector(`.stage[data-stage="${code}"]`);
      if (!stage) continue;
      const says = { "m-here": "hangs here now", "m-yes": "may hang here", "m-no": "not here" }[kind];
      stage.querySelector(".word").replaceChildren(made("b", "", says), made("span", "", kind === "m-here" ? "" : cord.brief));
      if (kind !== "m-yes") continue;
      const knot = document.getElementById("knot").content.firstElementChild.cloneNode(true);
      const after = all(".tag", stage).find((tag) => tag.dataset.key > cord.key);
      (after ?? stage.querySelector(".more,.end")).before(knot);
    }
    this.light();
  }

  light() {
    for (const piece of this.page.all(".over")) piece.classList.remove("over");
    if (this.over) for (const piece of this.page.of(this.over)) piece.classList.add("over");
    this.tell();
    if (!this.drags) this.rest();
  }

  tell() {
    const cord = this.cords?.[this.over];
    const name = this.name(this.over);
    const away = cord && this.over !== this.here;
    this.hangs.hidden = this.drags || !away || !cord.open;
    if (away && !cord.open) this.words.replaceChildren(made("b", "no-way", `Not on ${name}.`), ` ${cord.reason}`);
    else if (away) this.words.replaceChildren(made("b", "", `${this.short} may hang on ${name}.`), cord.back ? " It goes back: you are asked why." : "");
    else {
      const how = this.drags || this.page.phone() ? "" : KEYS;
      this.words.replaceChildren(made("b", "", `${this.short}, ${this.item}, is in your hand.`), ` ${this.bids} ${how}`);
    }
  }

  name(code) {
    return this.page.root.querySelector(`.seg[data-stage="${code}"] .nm`)?.textContent.replace("\u00ad", "") ?? "";
  }

  // Carried by keys or buttons, the paper rests at its knot.
  rest() {
    const stage = this.page.root.querySelector(`.stage[data-stage="${this.over}"]`);
    if (!stage) return;
    const spot = this.over === this.here ? this.li : stage.querySelector(".drop") ?? stage.querySelector(".tags");
    const at = spot.getBoundingClientRect();
    const low = spot.matches(".drop") ? 44 : 14;
    this.paper.style.position = "absolute";
    this.paper.style.transform = `translate(${Math.min(at.left + 8, innerWidth - this.paper.offsetWidth - 12) + scrollX}px,${at.top + low + scrollY}px)`;
    this.paper.scrollIntoView({ block: "nearest", inline: "nearest" });
  }

  choose(code) {
    if (!code) return;
    this.over = code;
    if (this.page.phone()) this.page.turn(code);
    this.light();
    const cord = this.cords?.[code];
    if (!cord) return;
    const says = code === this.here ? "hangs here now" : cord.open ? `may hang here. ${cord.brief}` : `not here. ${cord.reason}`;
    this.page.say(`${this.name(code)}: ${says}`);
  }

  key(event) {
    const codes = this.page.codes();
    const at = codes.indexOf(this.over);
    const does = {
      ArrowRight: () => this.choose(codes[at + 1]),
      ArrowLeft: () => this.choose(codes[at - 1]),
      Enter: () => this.hang(),
      Escape: () => this.put(),
    }[event.key];
    if (!does) return;
    event.preventDefault();
    event.stopPropagation();
    does();
  }

  drag(at) {
    this.at = at;
    this.paper.style.transform = `translate(${at.x - this.grip.x}px,${at.y - this.grip.y}px)`;
    // On wide rails also the cord above the pointer, however short it is.
    const above = (piece) => {
      const box = piece.getBoundingClientRect();
      return at.x >= box.left && at.x < box.right && at.y >= box.top;
    };
    const rail = this.page.root.querySelector(".rail");
    const straight = rail.offsetWidth && !this.page.phone();
    const under = document.elementFromPoint(at.x, at.y)?.closest("[data-stage]");
    const code = (under ?? (straight ? this.page.all(".stage").find(above) : null))?.dataset.stage ?? "";
    if (code !== this.over) {
      this.over = code;
      this.light();
    }
    const slide = at.y < EDGE ? -12 : at.y > innerHeight - EDGE ? 12 : 0;
    const across = !this.page.phone() ? 0 : at.x < EDGE ? -12 : at.x > innerWidth - EDGE ? 12 : 0;
    if ((slide || across) && !this.sliding) {
      this.sliding = requestAnimationFrame(() => {
        this.sliding = 0;
        scrollBy(0, slide);
        rail.scrollLeft += across;
        if (this.drags) this.drag(this.at);
      });
    }
  }

  drop() {
    document.documentElement.classList.remove("grabbed");
    const away = this.over && this.over !== this.here;
    if (away && this.cords) return this.hang();
    if (!this.page.phone()) return this.put();
    // On a phone one cord is seen at a time: the tag stays in the hand, and the strip chooses.
    this.drags = false;
    this.choose(this.over || this.here);
  }

  hang() {
    const cord = this.cords?.[this.over];
    if (this.over === this.here) return this.put();
    if (!cord) return;
    if (!cord.open) {
      const words = `Not on ${this.name(this.over)}. ${cord.reason}`;
      if (this.drags) this.put();
      return this.page.warn(words);
    }
    const { number, over } = this;
    const data = new FormData();
    for (const [name, value] of [["to", over], ["seen", this.li.dataset.rev], ["key", `${Date.now()}-${Math.random()}`]]) data.set(name, value);
    this.put(false);
    if (cord.back) return this.page.unfold(number, `?to=${over}`);
    this.page.send(`/rails/${number}/move/`, data, this.page.moved(number));
  }

  // Put it back where it hung.
  put(told = true) {
    const { all, current, phone, turn, say } = this.page;
    const { li, here, short } = this;
    this.paper.remove();
    document.documentElement.classList.remove("grabbed");
    for (const piece of all("[data-stage]")) piece.classList.remove("m-yes", "m-no", "m-here", "over");
    li.classList.remove("gap");
    this.clear();
    for (const word of all(".word")) word.textContent = word.dataset.said;
    this.mark();
    if (phone() && told && current() !== here) turn(here);
    if (!told) return;
    li.querySelector("a").focus({ preventScroll: true });
    say(`${short} is back where it hung.`);
  }

  slipped() {
    const news = this.page.liOf(this.number)?.querySelector(".who")?.textContent ?? "";
    const words = `${this.short} changed while it was in your hand${news.startsWith("moved by") ? `: ${news}` : ""}. Look again, then choose.`;
    this.put(false);
    this.page.warn(words);
  }

  // The rails were drawn anew under the hand: keep hold, unless someone else moved this very tag.
  caught() {
    if (!this.number) return;
    const fresh = this.page.liOf(this.number);
    if (fresh?.dataset.rev !== this.li.dataset.rev) this.slipped();
    else if (this.drags) fresh.replaceWith(this.li); // the finger holds this very element
    else this.li = fresh;
  }
}
