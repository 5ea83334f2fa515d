// Sends each picture as soon as it is taken. A frame shows the picture, how much of it has gone, or why it did not go.
import { show } from "./keep.js";

const waiting = new Map();
const msg = document.querySelector("[data-kept]");
const newKey = () => Array.from(crypto.getRandomValues(new Uint8Array(12)), (one) => one.toString(16).padStart(2, "0")).join("");

const say = (frame, words) => {
  const place = frame.querySelector("[data-photo-fault]");
  place.textContent = words;
  place.hidden = !words;
};
const label = (frame, words) => {
  let place = frame.querySelector("[data-going]");
  if (!place) {
    place = document.createElement("span");
    place.dataset.going = "";
    frame.querySelector("[data-fr]").append(place);
  }
  place.textContent = words;
  place.hidden = !words;
};

const picture = (frame, src) => {
  const place = frame.querySelector("[data-fr]");
  const take = place.querySelector("[data-take]");
  place.querySelector("img")?.remove();
  if (take) take.hidden = Boolean(src);
  if (!src) return;
  const img = document.createElement("img");
  img.alt = ""; // its name stands below it
  img.src = src;
  // Few browsers show HEIC: until the shop's own copy is there the frame stays empty.
  img.addEventListener("error", () => img.remove(), { once: true });
  place.prepend(img);
};

const send = (form, frame, file) =>
  new Promise((done) => {
    const body = new FormData(form);
    body.set("file", file);
    const way = new XMLHttpRequest();
    way.open("POST", form.action);
    way.setRequestHeader("X-Quick", "1");
    way.upload.addEventListener("progress", (event) => {
      if (event.lengthComputable) label(frame, `sending ${Math.round((event.loaded / event.total) * 100)} %`);
    });
    way.addEventListener("load", () => {
      let answer = {};
      try {
        answer = JSON.parse(way.responseText);
      } catch {
        answer = { words: way.status === 413 ? "The picture is too large to send. Set the camera to a smaller one." : "" };
      }
      done({ ok: way.status === 200 && Boolean(answer.photo), answer, home: way.responseURL !== form.action && way.responseURL });
    });
    way.addEventListener("error", () => done({ ok: false, lost: true, answer: {} }));
    way.send(body);
  });

const take = async (input) => {
  const form = input.form;
  const [file] = input.files;
  if (!file) return;
  const frame = input.closest(".frame");
  const key = form.elements.send_key;
  key.value = newKey();
  say(frame, "");
  label(frame, "sending");
  picture(frame, URL.createObjectURL(file));
  frame.classList.remove("no", "why", "has");
  const going = send(form, frame, file);
  waiting.set(frame, going);
  tell();
  const { ok, answer, lost, home } = await going;
  waiting.delete(frame);
  label(frame, "");
  if (ok) {
    frame.classList.add("has");
    picture(frame, answer.src);
    show(answer);
  } else {
    if (home && !lost) return location.assign(home);
    frame.classList.add("no");
    say(frame, lost ? "Not sent: no line to the shop. It is kept here until you leave; touch “send again”." : answer.words || "Not sent. Take it again.");
    if (lost) again(frame, input);
    else picture(frame, "");
  }
  if (!lost) input.value = "";
  tell();
};

const again = (frame, input) => {
  if (frame.querySelector("[data-again]")) return;
  const button = document.createElement("button");
  button.type = "button";
  button.className = "btn thin";
  button.dataset.again = "";
  button.textContent = "Send again";
  button.addEventListener("click", () => {
    button.remove();
    take(input);
  });
  frame.append(button);
};

const tell = () => {
  if (msg) msg.textContent = waiting.size ? `Still sending: ${waiting.size} photo${waiting.size > 1 ? "s" : ""}.` : "";
};

document.documentElement.classList.add("js");
document.addEventListener("change", (event) => {
  if (event.target.form?.matches("[data-photo]")) take(event.target);
});

// The page is left only when the last picture has gone.
const leave = async (event, go) => {
  if (!waiting.size) return;
  event.preventDefault();
  event.stopImmediatePropagation();
  if (msg) msg.textContent = "The last photos are still on their way. The page goes on by itself.";
  await Promise.all(waiting.values());
  setTimeout(go, 50);
};
addEventListener("submit", (event) => leave(event, () => event.target.requestSubmit(event.submitter ?? undefined)), true);
addEventListener(
  "click",
  (event) => {
    const link = event.target.closest?.("a[href]");
    if (link && !link.target && !link.hash) leave(event, () => link.click());
  },
  true,
);

const next = document.querySelector("[data-next-photo]");
if (next) {
  next.hidden = false;
  next.addEventListener("click", () => {
    const open = document.querySelector(".frame.no input[type=file]");
    (open ?? document.querySelector("[data-onward]")).click();
  });
}
