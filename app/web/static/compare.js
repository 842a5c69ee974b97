// Comparing while typing: the form becomes a query, the query a ranking; the address keeps the form.
import { ask, query, send } from "./asking.js";
import { by, counted, make, shown, state, tell, time } from "./making.js";
import { who } from "./signature.js";

const form = by("asked");
let ranking = false; // whether a ranking is on its way
let again = false; // whether the form has changed meanwhile
let answer = null;
let seen = null; // the part shown in full, chosen or not
let limit = 25; // candidates asked for
let chosen = null; // part number and sheet of the part shown in full

function formToQuery() {
  const asked = new URLSearchParams();
  for (const [name, value] of new FormData(form)) {
    if (name === "damage_curve") for (const point of value.split(",")) { if (point.trim()) asked.append(name, point.trim()); }
    else if (value.trim()) asked.set(name, value.trim());
  }
  return asked;
}

// A field of a requirement is called "reset" and hides the form's own method of that name.
const empty = () => HTMLFormElement.prototype.reset.call(form);

function pairsToForm(pairs) {
  const unreviewed = form.elements.unreviewed.checked;
  empty();
  form.elements.unreviewed.checked = unreviewed;
  const curve = [];
  for (const [name, value] of pairs) {
    const field = form.elements[name];
    if (name === "damage_curve") curve.push(value);
    else if (field?.type === "checkbox") field.checked = value === "true";
    else if (field) { field.value = value; if (value) field.closest("details")?.setAttribute("open", ""); }
  }
  by("damage_curve").value = curve.join(", ");
}

// The margins of the part shown follow each keystroke; the ranking of all parts comes when it is ready, one at a time.
async function compare() {
  if (seen && !by("answer").hidden) compareSeen();
  if (ranking) { again = true; return; }
  ranking = true;
  do {
    again = false;
    await rank(formToQuery());
  } while (again);
  ranking = false;
}

async function rank(asked) {
  history.replaceState(null, "", asked.size ? `?${asked}` : location.pathname);
  try {
    answer = await ask(`/api/ranking?${asked}&limit=${limit}`);
    if (!again) show(asked);
  } catch (error) {
    by("state").textContent = shown(error.message.replace(/^requirement, /, ""));
    by("answer").hidden = true;
  }
}

let turn = 0;
async function compareSeen() {
  const mine = ++turn;
  try {
    const found = await ask(`/api/ranking/one?${formToQuery()}&${query({ part: seen.part_number, sheet: seen.sha256 })}`);
    if (mine !== turn) return;
    Object.assign(answer.titles, found.titles);
    showOne(found.candidates[0]);
  } catch {
    // the ranking tells what is wrong
  }
}

function show(asked) {
  const { counts, gap, candidates } = answer;
  by("answer").hidden = false;
  const all = counts.fits + counts.undetermined + counts.fails;
  const more = all > candidates.length ? ` The first ${candidates.length} are shown.` : "";
  by("state").textContent = shown(`${counts.fits} fit, ${counts.undetermined} undetermined, ${counts.fails} fail.${more} ${gap}`);
  by("more").hidden = all <= candidates.length || limit > 25;
  by("ranking").tBodies[0].replaceChildren(...candidates.map(candidateToRow));
  by("cautions").replaceChildren(...answer.cautions.map((text) => make("li", {}, text)));
  by("notes").replaceChildren(...answer.notes.map((text) => make("li", {}, text)));
  for (const [id, name] of [["get-xlsx", "ranking/comparison.xlsx"], ["get-html", "ranking/decision.html"], ["get-json", "ranking/comparison.json"], ["get-toml", "requirement.toml"]]) by(id).href = `/api/${name}?${asked}`;
  const same = candidates.find((one) => chosen && one.part_number === chosen.part_number && one.sha256 === chosen.sha256);
  by("one").hidden = candidates.length === 0;
  if (candidates.length) choose(same || candidates[0], !same);
}

function candidateToRow(one, index) {
  const pick = make("button", { type: "button", class: "pick", onclick: () => choose(one) }, one.part_number);
  return make("tr", { "data-state": one.verdict, "data-rank": index, onclick: (event) => { if (!event.target.closest("button")) choose(one); } },
    make("td", { class: "num" }, index + 1), make("th", { scope: "row" }, pick),
    make("td", {}, state(one.verdict)), make("td", { class: "num" }, times(one.smallest_margin)), make("td", {}, one.why));
}

const times = (margin) => (margin === null ? "" : `${Number(margin.toPrecision(3))} ×`);

function choose(one, forget = false) {
  chosen = forget ? null : one;
  for (const row of by("ranking").tBodies[0].rows) {
    if (answer.candidates[row.dataset.rank] === one) row.setAttribute("aria-current", "true"); else row.removeAttribute("aria-current");
  }
  turn += 1; // an answer for one part that is still on its way is older than this one
  showOne(one);
}

function showOne(one) {
  seen = one;
  by("one-title").replaceChildren(make("a", { href: `/part?${query({ number: one.part_number, sheet: one.sha256 })}` }, one.part_number), shown(` of ${one.document}`));
  by("one-why").textContent = shown(one.why);
  by("one-reviewed").textContent = shown(one.reviewed);
  by("one-gaps").replaceChildren(...[...one.gaps, ...one.assumptions.map((text) => `assumed: ${text}`)].map((text) => make("li", {}, text)));
  by("margins").tBodies[0].replaceChildren(...one.margins.map(marginToRow));
  const about = `${formToQuery()}&${query({ part: one.part_number, sheet: one.sha256 })}`;
  draw("derating", `/api/ranking/derating.svg?${about}`, `Hold and trip current of ${one.part_number} against ambient, with what is asked`);
  draw("bars", `/api/ranking/margins.svg?${about}`, `Margins of ${one.part_number} as bars; the table below has the numbers`);
}

// Plots follow when typing pauses, so that they never hold up the numbers.
const drawing = {};
function draw(id, address, words) {
  clearTimeout(drawing[id]);
  drawing[id] = setTimeout(() => {
    const image = by(id);
    if (id === "derating") {
      image.onload = () => { image.hidden = false; by("no-derating").hidden = true; };
      image.onerror = () => { image.hidden = true; by("no-derating").hidden = false; };
    }
    image.alt = shown(words);
    image.src = address;
  }, 150);
}

function marginToRow(margin) {
  const number = (value) => (value === null ? "" : `${Number(value.toPrecision(4))} ${margin.unit === "1" ? "" : margin.unit}`);
  const limit = margin.limit === null ? "" : `${margin.sense === "at_least" ? "≥" : "≤"} ${number(margin.limit)}`;
  const notes = [margin.source, margin.note].filter(Boolean).join("; ");
  const assumed = margin.assumed.length
    ? make("details", {}, make("summary", {}, counted(margin.assumed.length, "assumption")), make("ul", {}, ...margin.assumed.map((text) => make("li", {}, text)))) : "";
  const at = margin.at_c === null ? "" : ` (${margin.at_c} °C)`;
  return make("tr", { "data-state": margin.verdict },
    make("th", { scope: "row" }, `${answer.titles[margin.name]}${at}`), make("td", {}, state(margin.verdict)),
    make("td", { class: "num" }, number(margin.value)), make("td", { class: "num" }, limit),
    make("td", { class: "num" }, times(margin.margin)), make("td", {}, margin.basis), make("td", {}, notes, assumed));
}

async function listKept() {
  const kept = await ask("/api/comparisons");
  by("kept").replaceChildren(make("option", { value: "" }, kept.length ? "choose" : "none yet"),
    ...kept.map((one) => make("option", { value: one.name }, `${one.name} (${one.who}, ${time(one.at)})`)));
}

async function keep() {
  const name = by("keep-name").value.trim();
  if (!name) { tell("Type a name to keep it under.", true); by("keep-name").focus(); return; }
  try {
    const toml = await fetch(`/api/requirement.toml?${formToQuery()}`);
    await send("/api/comparisons", { name, requirement: await toml.text(), unreviewed: form.elements.unreviewed.checked, who: who() });
    tell(`Kept as ${name}.`);
    await listKept();
  } catch (error) { tell(error.message, true); }
}

async function fill(pairs) {
  try { pairsToForm(await pairs); await compare(); } catch (error) { tell(error.message, true); }
}

form.addEventListener("input", (event) => { if (!["kept", "file"].includes(event.target.id)) compare(); });
form.addEventListener("submit", (event) => event.preventDefault());
by("clear").addEventListener("click", () => { empty(); compare(); });
by("more").addEventListener("click", () => { limit = 500; compare(); });
by("keep").addEventListener("click", keep);
by("kept").addEventListener("change", (event) => { if (event.target.value) fill(ask(`/api/comparisons/fields?${query({ name: event.target.value })}`)); });
by("file").addEventListener("change", async (event) => {
  const text = await event.target.files[0].text();
  event.target.value = "";
  fill(send("/api/requirement/fields", { text }));
});
listKept().catch((error) => tell(error.message, true));
const shared = [...new URLSearchParams(location.search)];
if (shared.length) fill(shared);
