// Parts: search as you type, ranges, order, pages. The address keeps all of it, so that Back comes back to it.
import { ask, query } from "./asking.js";
import { by, make, range, state, tell } from "./making.js";

const form = by("search");
const PAGE = 100;
const START = { order: "imported", descending: "", offset: "0" };
let view = { ...START };
let running = null; // what would stop the list on its way

const NUMBER = /^[-+]?(\d+\.?\d*|\.\d+)(e[-+]?\d+)?$/i;

// What is no number is marked where it stands; the list stays as it was.
function areNumbers(said) {
  const wrong = [];
  for (const field of form.elements) {
    field.removeAttribute("aria-invalid");
    if (field.inputMode === "decimal" && said[field.name] && !NUMBER.test(said[field.name])) wrong.push(field);
  }
  for (const field of wrong) field.setAttribute("aria-invalid", "true");
  if (wrong.length) by("found").textContent = `“${wrong[0].value.trim()}” is no number: ${wrong[0].labels[0].textContent.trim()}. The list below is as it was.`;
  return wrong.length === 0;
}

const typed = () => Object.fromEntries([...new FormData(form)].map(([name, value]) => [name, value.trim().replace(/^(\d*),(\d+)$/, "$1.$2")]));

async function list({ remember = true } = {}) {
  const asked = query({ ...typed(), ...Object.fromEntries(Object.entries(view).filter(([name, value]) => value !== START[name])) });
  if (remember) history.replaceState(null, "", asked ? `?${asked}` : location.pathname);
  running?.abort();
  if (!areNumbers(typed())) return;
  const mine = running = new AbortController();
  try {
    const { found, total, offset, rows } = await ask(`/api/parts?${query({ ...typed(), ...view, limit: PAGE })}`, { signal: mine.signal });
    if (mine.signal.aborted) return;
    by("parts").tBodies[0].replaceChildren(...rows.map(partToRow));
    by("found").textContent = found === total ? `${total} parts` : `${found} of ${total} parts`;
    by("which-page").textContent = found > PAGE ? `${offset + 1} to ${offset + rows.length}` : "";
    by("before").hidden = by("after").hidden = found <= PAGE;
    by("before").disabled = offset === 0;
    by("after").disabled = offset + rows.length >= found;
    for (const button of document.querySelectorAll(".sort")) {
      const is = button.dataset.order === view.order;
      button.closest("th").setAttribute("aria-sort", is ? (view.descending ? "descending" : "ascending") : "none");
    }
  } catch (error) {
    if (error.name !== "AbortError") by("found").textContent = error.message;
  }
}

const span = (pair) => (pair ? range(short(pair[0]), short(pair[1])) : "");
const short = (value) => Number(value.toPrecision(4));

function partToRow({ part, facts }) {
  const cell = (name, ...content) => make("td", { class: "num", "data-name": name }, ...content);
  return make("tr", {},
    make("th", { scope: "row" }, make("a", { href: `/part?${query({ number: part.part_number, sheet: part.sha256 })}` }, part.part_number)),
    cell("hold A", range(part.hold_current_min_a, part.hold_current_max_a)), cell("V", span(facts.max_voltage_v)), cell("fault A", span(facts.max_current_a)),
    cell("Ω", span(facts.resistance_ohm)), cell("trip s", span(facts.time_to_trip_s)), make("td", { "data-name": "package" }, facts.package),
    make("td", { "data-state": part.state, "data-name": "" }, state(part.state)),
    make("td", { class: "num", "data-state": part.disputed ? "disputed" : "", "data-name": "disputed" }, part.disputed ? state(part.disputed) : 0),
    cell("to decide", part.undecided),
    make("td", { "data-name": "" }, make("a", { href: `/review?sheet=${part.sha256}` }, part.document)));
}

// What the address says, into the form.
function restore() {
  const said = new URLSearchParams(location.search);
  for (const field of form.elements) if (field.name) field.value = said.get(field.name) || "";
  view = Object.fromEntries(Object.keys(START).map((name) => [name, said.get(name) || START[name]]));
  list({ remember: false }).catch((error) => tell(error.message, true));
}

function turn(by_) {
  view.offset = String(Math.max(0, Number(view.offset) + by_));
  history.pushState(null, "", location.href);
  list();
  document.querySelector("h1").scrollIntoView();
}

for (const button of document.querySelectorAll(".sort")) {
  button.addEventListener("click", () => {
    const same = view.order === button.dataset.order;
    view = { order: button.dataset.order, descending: same && !view.descending ? "true" : "", offset: "0" };
    list();
  });
}
form.addEventListener("input", () => { view.offset = "0"; list(); });
form.addEventListener("submit", (event) => event.preventDefault());
by("clear").addEventListener("click", () => { form.reset(); view = { ...START }; list(); by("like").focus(); });
by("before").addEventListener("click", () => turn(-PAGE));
by("after").addEventListener("click", () => turn(PAGE));
addEventListener("popstate", restore);
restore();
