// Up and down arrows go through a column of the price table; leaving a changed table unsaved is asked once.
const table = document.querySelector("[data-table]")

function neighbour(cell, step) {
  const column = [...table.querySelectorAll(`[data-column="${cell.dataset.column}"]`)]
  return column[column.indexOf(cell) + step]
}

if (table) {
  let changed = false
  table.addEventListener("keydown", event => {
    const step = { ArrowUp: -1, ArrowDown: 1 }[event.key]
    const cell = event.target.closest("[data-column]")
    if (!step || !cell) return
    const next = neighbour(cell, step)
    if (!next) return
    event.preventDefault()
    next.focus()
    next.select()
  })
  table.addEventListener("input", () => {
    changed = true
    table.querySelector(".msg").textContent = "Not kept yet."
  })
  table.addEventListener("submit", () => { changed = false })
  addEventListener("beforeunload", event => { if (changed) event.preventDefault() })
}
