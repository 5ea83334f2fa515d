// The box that finds anything: a key reaches it from every page, answers come as one types, arrows choose, Enter opens.
const WAIT = 120;
const form = document.querySelector("[data-find]");
const box = form?.querySelector("input");
const list = form?.querySelector(".find-list");
const status = form?.querySelector("[role=status]");
const folds = form?.hasAttribute("data-folds");
let timer = 0;
let asking = null;
let back = null;

const options = () => [...list.querySelectorAll("[role=option]")];
const active = () => list.querySelector("[aria-selected=true]");
const choose = (option) => {
  active()?.setAttribute("aria-selected", "false");
  option?.setAttribute("aria-selected", "true");
  option?.scrollIntoView({ block: "nearest" });
  if (option) box.setAttribute("aria-activedescendant", option.id);
  else box.removeAttribute("aria-activedescendant");
};
const show = (open) => {
  list.hidden = !open;
  box.setAttribute("aria-expanded", String(open));
  if (!open) choose(null);
};
const clear = () => {
  clearTimeout(timer);
  asking?.abort();
  list.replaceChildren();
  status.textContent = "";
  show(false);
};
const draw = (html, said) => {
  list.innerHTML = html;
  box.removeAttribute("aria-activedescendant");
  status.textContent = said ?? list.querySelector("[data-count]")?.dataset.count ?? "";
  show(true);
};

const ask = async () => {
  clearTimeout(timer);
  asking?.abort(); // an old answer must not come after a newer one
  const typed = box.value.trim();
  if (!typed) return clear();
  const mine = (asking = new AbortController());
  try {
    const answer = await fetch(`${form.action}?q=${encodeURIComponent(typed)}`, {
      headers: { "HX-Request": "true" },
      signal: AbortSignal.any([mine.signal, AbortSignal.timeout(8000)]),
    });
    // Signed out meanwhile: the page itself asks to sign in.
    if (answer.redirected && answer.url.includes("/sign-in/")) return location.reload();
    if (!answer.ok) throw new Error(String(answer.status));
    const html = await answer.text();
    if (mine === asking && form.contains(document.activeElement)) draw(html);
  } catch {
    if (mine !== asking || mine.signal.aborted) return;
    const lost = "No connection to the shop. Type on, or try again.";
    draw(`<p class="empty">${lost}</p>`, lost);
  }
};

const tucked = () => folds && getComputedStyle(form).position === "fixed";
const open = () => {
  const was = document.activeElement;
  if (!form.contains(was)) back = was;
  form.classList.add("out");
  form.querySelector("[data-fold]")?.toggleAttribute("hidden", !tucked());
  box.focus();
  box.select();
  if (box.value) ask();
};
const close = () => {
  clear();
  form.classList.remove("out");
  if (folds) box.value = "";
  if (folds || back) (back?.isConnected ? back : document.getElementById("main")).focus();
};

const typing = (target) => target.closest?.("input:not([type=checkbox]):not([type=radio]),textarea,select,[contenteditable]");
addEventListener("keydown", (event) => {
  const plain = !event.ctrlKey && !event.altKey && !event.metaKey;
  const slash = event.key === "/" && plain && !typing(event.target);
  const k = event.key.toLowerCase() === "k" && (event.ctrlKey || event.metaKey) && !event.altKey && !event.shiftKey;
  if (event.defaultPrevented || !form || !(slash || k)) return;
  event.preventDefault();
  open();
});

form?.addEventListener("keydown", (event) => {
  const step = { ArrowDown: 1, ArrowUp: -1 }[event.key];
  if (step && !list.hidden) {
    event.preventDefault();
    const all = options();
    const at = all.indexOf(active());
    choose(at < 0 && step < 0 ? all.at(-1) : all[(at + step + all.length) % all.length]);
  } else if (event.key === "Enter" && active() && event.target === box) {
    event.preventDefault();
    location.assign(active().href);
  } else if (event.key === "Escape") {
    event.preventDefault();
    event.stopPropagation();
    close();
  }
});
form?.addEventListener("submit", () => {
  // Enter opens the first, also when it comes faster than any answer, as from a scanner
  const first = document.createElement("input");
  Object.assign(first, { type: "hidden", name: "first", value: "1" });
  form.append(first);
  addEventListener("pagehide", () => first.remove(), { once: true });
});
box?.addEventListener("input", () => {
  clearTimeout(timer);
  timer = setTimeout(ask, WAIT);
});
form?.addEventListener("focusout", (event) => {
  if (form.contains(event.relatedTarget)) return;
  asking?.abort();
  show(false);
  if (event.relatedTarget) form.classList.remove("out");
});
box?.addEventListener("focus", () => list.childElementCount && show(true));
form?.querySelector("[data-fold]")?.addEventListener("click", close);
for (const link of document.querySelectorAll("a[data-find-link]")) {
  if (!form) continue;
  link.addEventListener("click", (event) => {
    if (event.ctrlKey || event.metaKey || event.shiftKey || event.button) return;
    event.preventDefault();
    open();
  });
}
// what was typed before this ran is looked for now
if (box?.value && document.activeElement === box && box.value !== box.defaultValue) ask();
