// Keeps what is typed on the server at each change. One save at a time; the page may be left only when all is kept.
const forms = [...document.querySelectorAll("form[data-keep]")];
const stops = document.querySelector("[data-stops]");
const more = document.querySelector("[data-more]");
const kept = document.querySelector("[data-kept]");
const fault = document.querySelector("[data-fault]");
const dirty = new Map(); // form → names of the fields that were touched and are not kept yet
let timer = 0;
let saving = null;
let refused = false;

export const show = (answer) => {
  for (const one of document.querySelectorAll("input[name=version]")) {
    if (answer.version > Number(one.value)) one.value = answer.version; // answers may overtake each other
  }
  if (stops && "stops" in answer) {
    stops.textContent = answer.stops;
    const rest = answer.more ? `${answer.more} more after that.` : "That is all that is missing here.";
    more.textContent = answer.stops ? rest : "Nothing is missing here.";
  }
  for (const name of ["said", "missing"]) {
    const place = document.querySelector(`[data-${name}]`);
    if (place && name in answer) place.textContent = answer[name];
  }
  for (const place of document.querySelectorAll("[data-above]")) {
    if (answer.above) place.hidden = !answer.above.includes(place.dataset.above);
  }
  if (kept && answer.kept) kept.textContent = `Kept ${answer.kept}.`;
  document.dispatchEvent(new CustomEvent("kept", { detail: answer }));
};

const complain = (words) => {
  fault.textContent = words;
  fault.hidden = !words;
};

// Only what was touched here is sent, so that nothing typed elsewhere is written over by an old copy of it.
const picked = (form, names) => {
  const twins = new Set([...form.elements].filter((one) => one.type !== "hidden").map((one) => one.name));
  const body = new FormData(form);
  for (const name of new Set(body.keys())) {
    if (name === "to" || (twins.has(name) && !names.has(name))) body.delete(name);
  }
  return body;
};

const sendWhole = (form, body) => {
  const whole = document.createElement("form");
  whole.method = "post";
  whole.action = form.action;
  for (const [name, value] of body) {
    const field = document.createElement("input");
    field.type = "hidden";
    field.name = name;
    field.value = value;
    whole.append(field);
  }
  document.body.append(whole);
  whole.submit();
};

const send = async (form, names) => {
  const body = picked(form, names);
  const answer = await fetch(form.action, { method: "POST", body, headers: { "X-Quick": "1" } });
  if (answer.redirected) return location.replace(answer.url);
  const said = await answer.json();
  if (answer.ok) {
    complain("");
    return show(said);
  }
  refused = true;
  // Changed elsewhere: the server shows both together, with what was typed here still in it.
  if (answer.status === 409) return sendWhole(form, body);
  return complain(said.words);
};

const flush = async () => {
  clearTimeout(timer);
  while (saving) await saving;
  if (!dirty.size || refused) return true;
  const [[form, names]] = dirty;
  dirty.delete(form);
  try {
    saving = send(form, names);
    await saving;
  } catch {
    dirty.set(form, new Set([...names, ...(dirty.get(form) ?? [])]));
    if (kept) kept.textContent = "Not kept yet: no line to the shop. It stays on this page and is tried again.";
    timer = setTimeout(flush, 4000);
    return false;
  } finally {
    saving = null;
  }
  return flush();
};

const changed = ({ form, name }, wait) => {
  if (!form || !forms.includes(form)) return;
  dirty.set(form, (dirty.get(form) ?? new Set()).add(name));
  refused = false;
  if (kept) kept.textContent = "";
  clearTimeout(timer);
  timer = setTimeout(flush, wait);
};

// After a refusal the page holds words that are not kept: all of them go with the next save.
if (fault && !fault.hidden) for (const form of forms) dirty.set(form, new Set([...form.elements].map((one) => one.name)));

document.addEventListener("input", (event) => changed(event.target, 700));
document.addEventListener("change", (event) => event.target.type !== "file" && changed(event.target, 60));

// Leaving by a link or another form waits for the last save, whose version the next page needs.
document.addEventListener("submit", async (event) => {
  if (event.defaultPrevented || (!dirty.size && !saving) || refused) return;
  const { target, submitter } = event;
  if (forms.includes(target) && dirty.size === 1 && dirty.has(target) && !saving) {
    clearTimeout(timer);
    return dirty.clear();
  }
  event.preventDefault();
  event.stopPropagation();
  if (await flush()) target.requestSubmit(submitter ?? undefined);
}, true);
document.addEventListener("click", async (event) => {
  const link = event.target.closest?.("a[href]");
  if (!link || link.target || event.defaultPrevented || (!dirty.size && !saving)) return;
  event.preventDefault();
  if (await flush()) location.assign(link.href);
});
