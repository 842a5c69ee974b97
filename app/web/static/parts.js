// Parts: search as you type, range, state, order.
import { ask, query } from "./asking.js";
import { by, make, range, state, tell } from "./making.js";

const form = by("search");
const order = { order: "imported", descending: false };
let last = 0;

async function list() {
  const mine = ++last;
  const typed = Object.fromEntries([...new FormData(form)].map(([name, value]) => [name, value.trim()]));
  try {
    const { found, total, rows } = await ask(`/api/parts?${query({ ...typed, ...order })}`);
    if (mine !== last) return;
    by("parts").tBodies[0].replaceChildren(...rows.map(partToRow));
    by("found").textContent = `${found} of ${total} parts${found > rows.length ? `, the first ${rows.length} shown` : ""}`;
  } catch (error) {
    if (mine === last) by("found").textContent = error.message;
  }
}

function partToRow(row) {
  return make("tr", { "data-state": row.state },
    make("th", { scope: "row" }, make("a", { href: `/part?${query({ number: row.part_number, sheet: row.sha256 })}` }, row.part_number)),
    make("td", { class: "num" }, range(row.hold_current_min_a, row.hold_current_max_a)),
    make("td", {}, state(row.state)),
    make("td", { class: "num", "data-state": row.disputed ? "disputed" : "" }, row.disputed ? state(row.disputed) : 0),
    make("td", { class: "num" }, row.undecided),
    make("td", {}, make("a", { href: `/review?sheet=${row.sha256}` }, row.document)));
}

for (const button of document.querySelectorAll(".sort")) {
  button.addEventListener("click", () => {
    order.descending = order.order === button.dataset.order && !order.descending;
    order.order = button.dataset.order;
    for (const head of document.querySelectorAll("th[aria-sort]")) head.setAttribute("aria-sort", "none");
    button.closest("th").setAttribute("aria-sort", order.descending ? "descending" : "ascending");
    list();
  });
}
form.addEventListener("input", list);
form.addEventListener("submit", (event) => event.preventDefault());
list().catch((error) => tell(error.message, true));
