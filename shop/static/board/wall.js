// The wall draws itself again when something changed, says how old it is when it cannot, and fits its screen.
import { ask, watch } from "./pulse.js";

const wall = document.getElementById("wall");
const OLD = 90000;

const fit = () => {
  const root = document.documentElement;
  root.style.fontSize = "";
  let size = parseFloat(getComputedStyle(root).fontSize);
  while (root.scrollHeight > innerHeight && size > 15) root.style.fontSize = `${(size -= 0.5)}px`;
};
const age = (drawn) => {
  wall.querySelector(".old").hidden = Date.now() - drawn < OLD;
};

watch({
  at: wall.dataset.pulseAt,
  seen: () => wall.querySelector(".cords").dataset.pulse,
  draw: async () => {
    const answer = await ask(location.href);
    if (!answer.ok) throw new Error(String(answer.status));
    wall.innerHTML = await answer.text();
    fit();
  },
  lost: age,
});
addEventListener("resize", fit);
fit();
