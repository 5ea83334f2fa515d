// While a copy is made the page asks how far it is; once it is done it shows the list anew.
const part = document.querySelector("[data-now]");

async function look() {
  try {
    const answer = await fetch(part.dataset.now, { headers: { Accept: "application/json" } });
    const said = await answer.json();
    if (!said.making) {
      location.reload();
      return;
    }
    const words = said.doing.charAt(0).toUpperCase() + said.doing.slice(1);
    const shown = part.querySelector("[data-doing]");
    if (shown.textContent !== words) shown.textContent = words;
  } catch {
    // the shop is away for a moment: ask again
  }
  setTimeout(look, 2000);
}

if (part) setTimeout(look, 1000);
