// Draws the day again when something changed, and once a minute; says how old it is when it cannot.
import { ask, watch } from "../board/pulse.js";

const root = document.getElementById("day");
const lost = document.getElementById("lost");
const part = () => root.firstElementChild;

const draw = async () => {
  const answer = await ask(location.pathname);
  if (!answer.ok) throw new Error(String(answer.status));
  const links = () => [...root.querySelectorAll("a")];
  const active = root.contains(document.activeElement) ? document.activeElement : null;
  const [href, place, y] = [active?.getAttribute("href"), links().indexOf(active), scrollY];
  root.innerHTML = await answer.text();
  scrollTo({ top: y, behavior: "instant" });
  if (active) (links().find((link) => link.getAttribute("href") === href) ?? links()[place])?.focus({ preventScroll: true });
};

watch({
  at: root.dataset.pulseAt,
  seen: () => part().dataset.pulse,
  draw,
  lost: () => {
    lost.querySelector("b").textContent = part().dataset.at;
    lost.hidden = false;
  },
  found: () => {
    lost.hidden = true;
  },
});
