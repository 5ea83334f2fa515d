// Empties the ring of a rest once a minute by the shop's own time, and says when its end has come.
const words = (minutes) => {
  const [hours, rest] = [Math.floor(minutes / 60), minutes % 60];
  if (minutes < 60) return `${minutes} min`;
  if (hours < 72) return rest ? `${hours} h ${rest} min` : `${hours} h`;
  return hours % 24 ? `${Math.floor(hours / 24)} d ${hours % 24} h` : `${hours / 24} d`;
};
for (const cure of document.querySelectorAll(".cure[data-until]")) {
  const [from, until, then] = ["from", "until", "now"].map((name) => Date.parse(cure.dataset[name]));
  const ahead = then - Date.now();
  const timer = setInterval(() => {
    const left = until - Date.now() - ahead;
    const share = left <= 0 ? 0 : Math.max(1, Math.min(100, Math.round((100 * left) / (until - from))));
    cure.querySelector(".rf").setAttribute("stroke-dasharray", `${share} 100`);
    const said = cure.querySelector("[data-left]");
    if (left > 0) {
      said.textContent = `${words(Math.ceil(left / 60000))} left of ${words(Math.ceil((until - from) / 60000))}`;
      return;
    }
    clearInterval(timer);
    said.textContent = "Its time is over: look at the page again";
    cure.querySelector("[role=status]").textContent = cure.dataset.over;
  }, 20000);
}
