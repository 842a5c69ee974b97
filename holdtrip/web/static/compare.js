// Comparing while typing: the form becomes a query, the query a ranking; the address keeps the form.
import { ask, query, send } from "./asking.js";
import { Beside, times } from "./beside.js";
import { by, counted, make, shown, state, tell, time } from "./making.js";
import { who } from "./signature.js";

const form = by("asked");
const [BUSY_AFTER_MS, PAUSE_MS] = [180, 120];
let running = null; // what would stop the ranking on its way
let answer = null;
let seen = null; // the part shown in full, chosen or not
let limit = 25; // candidates asked for
let chosen = null; // part number and sheet of the part shown in full
let sorted = { by: "rank", descending: false };
let asked = new URLSearchParams(); // the last requirement that was whole
const beside = new Beside(() => answer.titles, () => asked, () => markTicks());

function formToQuery() {
  const typed = new URLSearchParams();
  for (const [name, value] of new FormData(form)) {
    if (name === "damage_curve") for (const point of value.split(",")) { if (point.trim()) typed.append(name, point.trim()); }
    else if (value.trim()) typed.set(name, value.trim());
  }
  return typed;
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

// The margins of the part shown follow each keystroke; a ranking on its way is given up for the newer one.
async function compare() {
  const typed = formToQuery();
  history.replaceState(null, "", typed.size ? `?${typed}` : location.pathname);
  if (seen && !by("answer").hidden) compareSeen(typed);
  running?.abort();
  const mine = running = new AbortController();
  if (answer) await new Promise((resolve) => setTimeout(resolve, PAUSE_MS)); // the part shown comes before all parts
  if (mine.signal.aborted) return;
  const slow = setTimeout(() => { by("busy").hidden = false; }, BUSY_AFTER_MS);
  try {
    const found = await ask(`/api/ranking?${typed}&limit=${limit}`, { signal: mine.signal });
    if (mine.signal.aborted) return;
    answer = found;
    asked = typed;
    showProblems([]);
    show();
  } catch (error) {
    if (error.name !== "AbortError") await refuse(typed, error);
  } finally {
    clearTimeout(slow);
    if (running === mine) by("busy").hidden = true;
  }
}

// What is wrong stands at its field; the last whole result stays, greyed, until the form is whole again.
async function refuse(typed, error) {
  const problems = await ask(`/api/requirement/problems?${typed}`).catch(() => []);
  if (String(typed) !== String(formToQuery())) return;
  showProblems(problems);
  const wrong = problems.filter((one) => !one.missing);
  const missing = problems.filter((one) => one.missing);
  const label = (one) => document.querySelector(`label[for="${one.field}"]`)?.firstChild.textContent.replace(/,.*/s, "").trim();
  const words = wrong.length ? `${counted(wrong.length, "field")} to mend: ${wrong.map((one) => label(one) || one.message).join(", ")}.`
    : missing.length ? `Still needed: ${missing.map(label).join(", ")}.` : error.message.replace(/^requirement, /, "");
  by("state-says").textContent = shown(`${words}${answer ? " The result below is of the last whole requirement." : ""}`);
  by("answer").classList.toggle("stale", answer !== null);
}

function showProblems(problems) {
  for (const place of document.querySelectorAll("#asked .wrong")) place.textContent = "";
  for (const field of form.querySelectorAll("[aria-invalid]")) field.removeAttribute("aria-invalid");
  for (const { field, message, missing } of problems) {
    const place = by(`${field}-wrong`);
    if (!place || missing) continue;
    place.textContent = shown(message);
    by(field).setAttribute("aria-invalid", "true");
    by(field).closest("details")?.setAttribute("open", "");
  }
}

let turn = 0;
async function compareSeen(typed) {
  const mine = ++turn;
  try {
    const found = await ask(`/api/ranking/one?${typed}&${query({ part: seen.part_number, sheet: seen.sha256 })}`);
    if (mine !== turn) return;
    Object.assign(answer.titles, found.titles);
    showOne(found.candidates[0]);
  } catch {
    // the ranking tells what is wrong
  }
}

function show() {
  const { counts, gap, candidates } = answer;
  by("answer").hidden = false;
  by("answer").classList.remove("stale");
  const all = counts.fits + counts.undetermined + counts.fails;
  const more = all > candidates.length ? ` The first ${candidates.length} are shown.` : "";
  const others = answer.left_out ? ` Of ${all + answer.left_out} parts ${answer.left_out} need not be judged: none of them stands before these.` : "";
  by("state-says").textContent = shown(`${counts.fits} ${counts.fits === 1 ? "fits" : "fit"}, ${counts.undetermined} undetermined, ${counts.fails} ${counts.fails === 1 ? "fails" : "fail"}.${more}${others} ${gap}`);
  by("more").hidden = all <= candidates.length || limit > 25;
  by("cautions").replaceChildren(...answer.cautions.map((text) => make("li", {}, text)));
  by("notes").replaceChildren(...answer.notes.map((text) => make("li", {}, text)));
  for (const [id, name] of [["get-xlsx", "ranking/comparison.xlsx"], ["get-html", "ranking/decision.html"], ["get-json", "ranking/comparison.json"], ["get-toml", "requirement.toml"]]) by(id).href = `/api/${name}?${asked}`;
  candidates.forEach((one, rank) => { one.rank = rank; });
  showRanking();
  const found = candidates.find((one) => chosen && isSame(one, chosen));
  by("one").hidden = candidates.length === 0;
  beside.learn(candidates);
  for (const gone of beside.parts.filter((part) => !candidates.includes(part))) relearn(gone);
  if (!beside.parts.length && candidates.length) beside.parts = candidates.slice(0, 1);
  beside.show();
  markTicks();
  if (candidates.length) choose(found || candidates[0], !found);
}

const isSame = (one, other) => one.part_number === other.part_number && one.sha256 === other.sha256;

// A part asked about that is not among the first of the ranking is judged by itself.
async function relearn(part) {
  const found = await judge(part.part_number, part.sha256).catch(() => null);
  if (found) { beside.learn([found]); beside.showBars(); }
}

async function judge(part, sheet) {
  const found = await ask(`/api/ranking/one?${asked}&${query({ part, sheet })}`);
  Object.assign(answer.titles, found.titles);
  return found.candidates[0];
}

const size = (one, name) => one.margins.filter((margin) => margin.name === name && margin.margin !== null).map((margin) => margin.margin).sort((a, b) => a - b)[0];
const WORDS = { fits: "met", fails: "not met", undetermined: "open" }; // of a margin without a number
const KEYS = {
  rank: (one) => one.rank, part_number: (one) => one.part_number.toLowerCase(), smallest: (one) => one.smallest_margin ?? Infinity,
  verdict: (one) => ["fits", "undetermined", "fails"].indexOf(one.verdict),
};

function showRanking() {
  const names = [...new Set(answer.candidates.flatMap((one) => one.margins.map((margin) => margin.name)))];
  const heads = [["rank", "#"], ["", ""], ["part_number", "Part"], ["verdict", "Verdict"], ["smallest", "Tightest"], ...names.map((name) => [name, answer.titles[name]])];
  by("ranking").tHead.replaceChildren(make("tr", {}, ...heads.map(([key, words]) => (key
    ? make("th", { scope: "col", class: names.includes(key) ? "criterion" : undefined, "aria-sort": sorted.by === key ? (sorted.descending ? "descending" : "ascending") : "none" },
      make("button", { type: "button", class: "sort", onclick: () => sort(key) }, words))
    : make("td", {}, make("span", { class: "away" }, "Side by side"))))));
  const key = KEYS[sorted.by] || ((one) => size(one, sorted.by) ?? Infinity);
  const listed = [...answer.candidates].sort((a, b) => (key(a) < key(b) ? -1 : key(a) > key(b) ? 1 : a.rank - b.rank));
  if (sorted.descending) listed.reverse();
  by("ranking").tBodies[0].replaceChildren(...listed.map((one) => candidateToRow(one, names)));
  markTicks();
}

function sort(key) {
  sorted = { by: key, descending: sorted.by === key && !sorted.descending };
  showRanking();
  markChosen();
  [...by("ranking").tHead.querySelectorAll(".sort")].find((button) => button.closest("[aria-sort]:not([aria-sort=none])"))?.focus();
}

function candidateToRow(one, names) {
  const pick = make("button", { type: "button", class: "pick", onclick: () => choose(one) }, one.part_number);
  const tick = make("input", { type: "checkbox", "aria-label": `${shown(one.part_number)} side by side` });
  tick.addEventListener("change", () => beside.toggle(one));
  return make("tr", { "data-rank": one.rank, title: shown(one.why), onclick: (event) => { if (!event.target.closest("button, input")) choose(one); } },
    make("td", { class: "num" }, one.rank + 1), make("td", {}, tick), make("th", { scope: "row" }, pick), make("td", { "data-state": one.verdict }, state(one.verdict)),
    make("td", { class: "num" }, times(one.smallest_margin)), ...names.map((name) => marginToCell(one, name)));
}

function marginToCell(one, name) {
  const margins = one.margins.filter((margin) => margin.name === name);
  if (!margins.length) return make("td", { class: "num" }, "");
  const worst = [...margins].sort((a, b) => ["fails", "undetermined", "fits"].indexOf(a.verdict) - ["fails", "undetermined", "fits"].indexOf(b.verdict))[0];
  const ratio = size(one, name);
  return make("td", { class: "num", "data-state": worst.verdict }, make("span", { class: "state" }, ratio === undefined ? WORDS[worst.verdict] : times(ratio)));
}

function markTicks() {
  for (const row of by("ranking").tBodies[0].rows) row.querySelector("input").checked = beside.has(answer.candidates[row.dataset.rank]);
}

function markChosen() {
  for (const row of by("ranking").tBodies[0].rows) {
    if (seen && isSame(answer.candidates[row.dataset.rank], seen)) row.setAttribute("aria-current", "true"); else row.removeAttribute("aria-current");
  }
}

function choose(one, forget = false) {
  chosen = forget ? null : one;
  turn += 1; // an answer for one part that is still on its way is older than this one
  showOne(one);
  markChosen();
}

function showOne(one) {
  seen = one;
  by("one").hidden = false;
  by("one-title").replaceChildren(make("a", { href: `/part?${query({ number: one.part_number, sheet: one.sha256 })}` }, one.part_number), shown(` of ${one.document}`));
  by("one-why").textContent = shown(one.why);
  by("one-reviewed").textContent = shown(one.reviewed);
  by("one-gaps").replaceChildren(...[...(one.newer_revision ? [one.newer_revision] : []), ...one.gaps, ...one.assumptions.map((text) => `assumed: ${text}`)].map((text) => make("li", {}, text)));
  by("margins").tBodies[0].replaceChildren(...one.margins.map(marginToRow));
}

// A source names its datasheet before every cell: of the part's own, which stands in the title, the page is enough.
function namedOnce(source) {
  return source.split(`${seen.document} p. `).map((text, index) => (index ? `page ${text}` : text)).join("");
}

function marginToRow(margin) {
  const number = (value) => (value === null ? "" : `${Number(value.toPrecision(4))} ${margin.unit === "1" ? "" : margin.unit}`);
  const bound = margin.limit === null ? "" : `${margin.sense === "at_least" ? "≥" : "≤"} ${number(margin.limit)}`;
  const notes = [namedOnce(margin.source), margin.note].filter(Boolean).join("; ");
  const assumed = margin.assumed.length
    ? make("details", {}, make("summary", {}, counted(margin.assumed.length, "assumption")), make("ul", {}, ...margin.assumed.map((text) => make("li", {}, text)))) : "";
  const at = margin.at_c === null ? "" : ` (${margin.at_c} °C)`;
  return make("tr", { "data-state": margin.verdict },
    make("th", { scope: "row" }, `${answer.titles[margin.name]}${at}`), make("td", {}, state(margin.verdict)),
    make("td", { class: "num" }, number(margin.value)), make("td", { class: "num" }, bound),
    make("td", { class: "num" }, times(margin.margin)), make("td", {}, margin.basis), make("td", {}, notes, assumed));
}

// Any part of the library, ranked or not: its margins say why not.
const offered = new Map();
async function offerParts() {
  const like = by("why-not").value.trim();
  if (offered.has(like)) { await askWhyNot(offered.get(like)); return; }
  if (like.length < 2) return;
  const { rows } = await ask(`/api/parts?${query({ like, limit: 20, order: "part_number" })}`);
  const names = [...new Set(rows.map(({ part }) => part.part_number))].flatMap((number) => partsOfOneName(rows.map((row) => row.part).filter((part) => part.part_number === number)));
  by("any-parts").replaceChildren(...names.map((name) => make("option", { value: name })));
  if (offered.has(like)) await askWhyNot(offered.get(like));
}

// A part that several sheets list is offered once for each sheet; its number alone means the first of them.
function partsOfOneName(parts) {
  const { part_number: number } = parts[0];
  offered.set(number, parts[0]);
  if (parts.length === 1) return [number];
  return parts.map((part) => { const name = `${number} (${part.document})`; offered.set(name, part); return name; });
}

async function askWhyNot(row) {
  try {
    const one = await judge(row.part_number, row.sha256);
    if (!beside.has(one)) beside.toggle(one);
    choose(one);
    by("one").scrollIntoView({ block: "nearest" });
  } catch (error) { tell(error.message, true); }
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
    const toml = await fetch(`/api/requirement.toml?${asked}`);
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
by("why-not").addEventListener("input", () => offerParts().catch((error) => tell(error.message, true)));
by("kept").addEventListener("change", (event) => { if (event.target.value) fill(ask(`/api/comparisons/fields?${query({ name: event.target.value })}`)); });
by("file").addEventListener("change", async (event) => {
  const text = await event.target.files[0].text();
  event.target.value = "";
  fill(send("/api/requirement/fields", { text }));
});
listKept().catch((error) => tell(error.message, true));
const shared = [...new URLSearchParams(location.search)];
if (shared.length) fill(shared);
