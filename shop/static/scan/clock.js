// Counts the seconds of the running clock from the shop's own time, so a phone whose clock is wrong still shows it right.
const reading = document.querySelector(".dock [data-since]");
if (reading) {
  const since = Date.parse(reading.dataset.since);
  const ahead = Date.parse(reading.dataset.now) - Date.now();
  const two = (number) => String(number).padStart(2, "0");
  const show = () => {
    const seconds = Math.max(0, Math.floor((Date.now() + ahead - since) / 1000));
    reading.textContent = `${Math.floor(seconds / 3600)}:${two(Math.floor(seconds / 60) % 60)}:${two(seconds % 60)}`;
  };
  show();
  setInterval(show, 1000);
}
