// The rails: walk them by keys, unfold a tag beside itself, and see what others do. Moving a tag: hand.js.
import { Hand } from "./hand.js";
import { ask, watch } from "./pulse.js";

const root = document.getElementById("rails");
const box = document.getElementById("leaf");
const told = document.getElementById("told");
const warned = document.getElementById("warned");
const all = (what, within = root) => [...within.querySelectorAll(what)];
const LOST = "No connection to the shop. What hangs here may be old; nothing was lost.";

const say = (words) => {
  told.textContent = words;
};
const warn = (words) => {
  warned.hidden = !words;
  if (warned.textContent !== words) warned.textContent = words;
};

// kept per device: a phone’s cord, a tablet’s four open ones
const kept = (name) => {
  try {
    return JSON.parse(localStorage.getItem(name));
  } catch {
    return null;
  }
};
const keep = (name, value) => {
  try {
    localStorage.setItem(name, JSON.stringify(value));
  } catch {
    // A private window keeps no choice.
  }
};
const phone = () => matchMedia("(max-width:48rem)").matches;
const tablet = () => !phone() && matchMedia("(max-width:75rem)").matches;
const stages = () => all(".stage");
const codes = () => all(".seg").map((seg) => seg.dataset.stage);
const of = (code) => all(`[data-stage="${code}"]`);
const links = (stage) => all(".tag>a", stage);
const liOf = (number) => document.getElementById(`t${number}`);
const unfolded = () => box.querySelector(".leaf")?.dataset.number;
const alone = () => root.firstElementChild.classList.contains("alone");

// the one cord a phone shows
const current = () => root.querySelector(".seg.cur").dataset.stage;
const turn = (code, slide = true) => {
  for (const piece of all(".seg,.stage")) {
    const is = piece.classList.toggle("cur", piece.dataset.stage === code);
    piece.ariaCurrent = is && phone() ? "true" : null;
  }
  const segs = all(".seg");
  const at = codes().indexOf(code);
  const seg = segs[at];
  if (slide && phone()) seg.parentElement.scrollLeft = seg.offsetLeft - (innerWidth - seg.offsetWidth) / 2;
  const beside = (word, other) =>
    other ? `<a href="${other.href}" data-stage="${other.dataset.stage}"><span>${word}</span>${other.querySelector(".nm").innerHTML}</a>` : "";
  root.querySelector(".near").innerHTML = beside("Before", segs[at - 1]) + beside("After", segs[at + 1]);
  if (phone()) keep("rails-at", code);
};
// the four cords a tablet keeps open
const showOpen = (open) => {
  for (const piece of all(".seg,.stage")) {
    const is = open.includes(piece.dataset.stage);
    piece.classList.toggle("op", is);
    piece.classList.toggle("ga", !is);
  }
};
const use = (code) => {
  const open = kept("rails-open") ?? all(".seg.op").map((seg) => seg.dataset.stage);
  const next = [...open.filter((other) => other !== code).slice(-3), code];
  keep("rails-open", next);
  showOpen(next);
};

// Tab stops once per cord: at the tag last stood on, else the top one
const stops = new Map();
const rove = () => {
  for (const stage of stages()) {
    const tags = links(stage);
    const stop = tags.find((link) => link.parentElement.id === stops.get(stage.dataset.stage)) ?? tags[0];
    for (const link of tags) link.tabIndex = link === stop ? 0 : -1;
  }
};
const stand = (link) => {
  const stage = link.closest(".stage");
  if (phone()) turn(stage.dataset.stage);
  stops.set(stage.dataset.stage, link.parentElement.id);
  rove();
  link.focus();
};

const swap = (html) => {
  const was = new Map(all(".tag").map((li) => [li.id, li.closest(".stage").dataset.stage]));
  const here = current();
  const slid = root.querySelector(".rail").scrollLeft;
  const active = root.contains(document.activeElement) ? document.activeElement : null;
  const id = active?.closest(".tag")?.id;
  const place = all("a,button").indexOf(active);
  const [x, y] = [scrollX, scrollY];
  root.innerHTML = html;
  hand.caught();
  dress(here);
  root.querySelector(".rail").scrollLeft = slid;
  scrollTo({ left: x, top: y, behavior: "instant" });
  if (active) (id ? document.getElementById(id)?.querySelector("a") : all("a,button")[place])?.focus({ preventScroll: true });
  for (const li of all(".tag")) if (was.has(li.id) && was.get(li.id) !== li.closest(".stage").dataset.stage) li.classList.add("swing");
};
const dress = (here) => {
  if (!alone()) {
    turn(here, false);
    const open = kept("rails-open");
    if (open) showOpen(open);
  }
  rove();
  root.classList.toggle("unfolded", !box.hidden);
  for (const li of all(".tag")) li.classList.toggle("sel", li.id === `t${unfolded()}`);
  hand.mark();
};
const refresh = async () => {
  const answer = await ask(location.pathname + location.search);
  if (!answer.ok) throw new Error(String(answer.status));
  swap(await answer.text());
};

// an unfolded tag, beside its own
const settle = () => {
  const tag = liOf(unfolded())?.querySelector("a").getBoundingClientRect() ?? { left: 16, right: 16, top: 120 };
  const [wide, high] = [box.offsetWidth, box.offsetHeight];
  const right = tag.right + 12;
  const left = right + wide < innerWidth - 8 ? right : Math.max(8, tag.left - wide - 12);
  const rail = root.querySelector(".rail").getBoundingClientRect();
  box.style.left = `${left + scrollX}px`;
  box.style.top = `${Math.max(Math.max(rail.bottom, 0) + 8, Math.min(tag.top, innerHeight - high - 8)) + scrollY}px`;
};
const show = (html, aim) => {
  box.innerHTML = html;
  box.hidden = false;
  dress(current());
  settle();
  (box.querySelector(aim ?? "[role=alert]") ?? box.querySelector(".leaf-name")).focus();
};
const unfold = async (number, query = "") => {
  const address = `/rails/${number}/${query}`;
  const tag = liOf(number)?.querySelector("a").getBoundingClientRect();
  const roomy = tag && Math.max(innerWidth - tag.right, tag.left) > 430;
  if (phone() || !roomy) return void location.assign(address);
  try {
    const answer = await ask(address);
    show(await answer.text(), query ? "details[open] input" : ".leaf-name");
  } catch {
    warn(LOST);
  }
};
const fold = (back = true) => {
  const link = liOf(unfolded())?.querySelector("a");
  box.hidden = true;
  box.replaceChildren();
  dress(current());
  if (back && link) stand(link);
};

// one step: the answer is the rails again, the leaf again, or a leaf that says why not
const send = async (address, data, done) => {
  warn("");
  data.set("look", location.search);
  try {
    const answer = await ask(address, { method: "POST", body: data, headers: { "X-CSRFToken": root.dataset.token } });
    const html = await answer.text();
    if (answer.ok) return await done(html);
    if (answer.status !== 409 && answer.status !== 422) throw new Error(String(answer.status));
    await refresh();
    if (!box.hidden) return show(html);
    const page = new DOMParser().parseFromString(html, "text/html");
    warn(page.querySelector("[role=alert]").textContent);
  } catch {
    warn("That did not reach the shop. Look whether it was done, then try again.");
  }
};
const moved = (number) => (html) => {
  if (!box.hidden) fold(false);
  swap(html);
  const li = liOf(number);
  const stage = li?.closest(".stage");
  if (!li) return;
  if (tablet()) use(stage.dataset.stage);
  stand(li.querySelector("a"));
  say(`${li.querySelector(".no").textContent} hangs on ${stage.querySelector("h2").firstChild.textContent} now.`);
};
addEventListener("submit", (event) => {
  const form = event.target;
  if (!root.contains(form) && !box.contains(form)) return;
  event.preventDefault();
  if (form.dataset.sent) return;
  form.dataset.sent = "1";
  const number = form.action.split("/").at(-3);
  const stay = async (html) => {
    show(html, ".leaf-name");
    await refresh();
  };
  send(form.action, new FormData(form), form.hasAttribute("data-stay") ? stay : moved(number)).finally(() => delete form.dataset.sent);
});

root.addEventListener("click", (event) => {
  if (event.ctrlKey || event.metaKey || event.shiftKey || event.button) return;
  const piece = event.target.closest(".seg,.near a");
  const link = event.target.closest(".tag>a");
  if (piece && !alone()) {
    event.preventDefault();
    const code = piece.dataset.stage;
    if (hand.number) return hand.choose(code);
    if (phone()) return turn(code);
    if (tablet()) use(code);
    const first = links(root.querySelector(`.stage[data-stage="${code}"]`))[0];
    if (first && !tablet()) stand(first);
  } else if (link) {
    event.preventDefault();
    if (hand.justDropped()) return;
    unfold(link.parentElement.id.slice(1));
  }
});
box.addEventListener("click", (event) => {
  if (event.target.closest(".fold-it")) {
    event.preventDefault();
    fold();
  }
  if (event.target.closest(".take")) {
    event.preventDefault();
    const number = unfolded();
    fold(false);
    hand.take(liOf(number));
  }
});
addEventListener("keydown", (event) => {
  if (event.key === "Escape" && !box.hidden && !hand.number) return fold();
  const link = event.target.closest?.("#rails .tag>a");
  if (!link || hand.number || event.ctrlKey || event.metaKey || event.altKey) return;
  const stage = link.closest(".stage");
  const tags = links(stage);
  const at = tags.indexOf(link);
  const aside = (step) => {
    const cords = stages();
    for (let next = cords.indexOf(stage) + step; cords[next]; next += step) {
      const there = links(cords[next]);
      if (there.length) return there[Math.min(at, there.length - 1)];
    }
  };
  const walks = {
    ArrowDown: () => tags[at + 1],
    ArrowUp: () => tags[at - 1],
    ArrowLeft: () => aside(-1),
    ArrowRight: () => aside(1),
    Home: () => tags[0],
    End: () => tags.at(-1),
    m: () => void hand.take(link.parentElement),
  };
  if (!walks[event.key]) return;
  const to = walks[event.key]();
  event.preventDefault();
  if (to) stand(to);
});
addEventListener("resize", () => !box.hidden && settle());

const hand = new Hand({ root, all, of, liOf, codes, phone, current, turn, say, warn, send, moved, unfold });
const asked = new URLSearchParams(location.search).get("at");
dress(current());
if (phone() && !alone()) turn(asked ?? kept("rails-at") ?? current());
if (location.hash.startsWith("#take")) hand.take(liOf(location.hash.slice(5)));
watch({
  at: root.dataset.pulseAt,
  seen: () => root.firstElementChild.dataset.pulse,
  draw: refresh,
  lost: () => warn(LOST),
  found: () => warned.textContent === LOST && warn(""),
});
