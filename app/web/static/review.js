// Review of one datasheet: the page with each cell outlined, the numbers beside it, decisions by key or button.
import { ask, send } from "./asking.js";
import { by, counted, make, shown, state, tell, value } from "./making.js";
import { PagePicture } from "./page_picture.js";
import { who } from "./signature.js";
import { askWhy } from "./why.js";

const sheet = new URLSearchParams(location.search).get("sheet") || "";
const numbers = new Map(); // number_id → as the server tells it
const rows = new Map(); // number_id → table row
const versions = new Map(); // part number → version seen
const done = []; // what can be undone: lists of number_id
let chosen = null;

const picture = new PagePicture(sheet, choose, hover);
const DECIDED = new Set(["accepted", "corrected", "rejected"]);

async function start() {
  const review = await ask(`/api/sheets/${sheet}`);
  document.title = `${shown(review.sheet.document)} · review`;
  by("title").textContent = shown(review.sheet.document) + (review.sheet.revision ? `, ${shown(review.sheet.revision)}` : "");
  learn(review);
  picture.open(review.pages, review.numbers);
  const first = review.numbers.find((one) => !DECIDED.has(one.state)) || review.numbers[0];
  const asked = numbers.get(Number(location.hash.slice(2)));
  appendRows(review.numbers, 0);
  if (asked || first) choose((asked || first).number_id);
  by("undo").disabled = true;
  showFindings(await ask(`/api/sheets/${sheet}/findings`));
}

const later = window.requestIdleCallback || setTimeout;

// The first rows at once, the others in portions, so that a long sheet is seen soon.
function appendRows(list, from) {
  const to = from ? from + 300 : 40;
  by("numbers").tBodies[0].append(...list.slice(from, to).map((one) => rowOf(one.number_id)));
  if (to < list.length) later(() => appendRows(list, to));
  else filterRows();
}

function rowOf(id) {
  if (!rows.has(id)) {
    rows.set(id, make("tr", { id: `n${id}` }));
    fillRow(rows.get(id), numbers.get(id));
  }
  return rows.get(id);
}

// Takes over what the server says of parts and numbers, at the start and after each decision.
function learn({ parts, numbers: told }) {
  for (const part of parts) versions.set(part.part_number, part.version);
  for (const one of told) {
    numbers.set(one.number_id, one);
    if (rows.has(one.number_id)) fillRow(rows.get(one.number_id), one);
    picture.mark(one);
  }
  const all = [...numbers.values()];
  const left = all.filter((one) => !DECIDED.has(one.state));
  const disputed = left.filter((one) => one.status === "disputed").length;
  by("progress").textContent = `${all.length - left.length} of ${all.length} decided, ${disputed} disputed to look at`;
  filterRows();
}

function fillRow(row, one) {
  row.dataset.state = one.state;
  row.dataset.id = one.number_id;
  const pick = make("button", { type: "button", class: "pick", tabindex: one === chosen ? 0 : -1 }, one.part_number === "*" ? "whole series" : one.part_number);
  row.replaceChildren(
    make("td", {}, state(one.state)), make("td", {}, pick),
    make("td", {}, [one.quantity, one.kind, one.condition].filter(Boolean).join(" "), one.said && one.state !== one.status ? make("span", { class: "said" }, one.said) : ""),
    make("td", { class: "num" }, ...value(one)), make("td", { class: "raw" }, one.raw), make("td", { class: "num" }, one.place.page || ""));
  if (chosen && chosen.number_id === one.number_id) { chosen = one; mark(row, true); showChosen(); }
}

function filterRows() {
  const only = by("todo-only").checked;
  for (const [id, row] of rows) row.hidden = only && DECIDED.has(numbers.get(id).state) && numbers.get(id) !== chosen;
}

function mark(row, is) {
  if (is) row.setAttribute("aria-current", "true"); else row.removeAttribute("aria-current");
  row.querySelector(".pick").tabIndex = is ? 0 : -1;
}

function choose(id, focus = false) {
  if (chosen) mark(rows.get(chosen.number_id), false);
  chosen = numbers.get(id);
  const row = rowOf(id);
  mark(row, true);
  showRow(row);
  if (focus) row.querySelector(".pick").focus({ preventScroll: true });
  history.replaceState(null, "", `#n${id}`);
  picture.choose(chosen);
  showChosen();
}

// Scrolls the table only, so that the page stays where the reader put it.
function showRow(row) {
  const list = document.querySelector(".rows");
  const head = by("numbers").tHead.offsetHeight;
  if (row.offsetTop - head < list.scrollTop) list.scrollTop = row.offsetTop - head;
  else if (row.offsetTop + row.offsetHeight > list.scrollTop + list.clientHeight) list.scrollTop = row.offsetTop + row.offsetHeight - list.clientHeight;
}

function hover(id, is) {
  const row = rows.get(id);
  row?.classList.toggle("hover", is);
  if (is && row?.isConnected) showRow(row);
  picture.hover(id, is);
}

function showChosen() {
  const part = chosen.part_number === "*" ? "whole series" : chosen.part_number;
  by("what").textContent = shown([part, chosen.quantity, chosen.kind, chosen.condition].filter(Boolean).join(" "));
  by("reading").replaceChildren("read as ", make("strong", { class: "raw" }, ...value(chosen)), ", printed ", make("span", { class: "raw" }, `“${shown(chosen.raw)}”`), `, page ${chosen.place.page}`);
  const doubts = [...chosen.notes];
  if (chosen.status === "single") doubts.unshift("one reading only: nothing independent confirms it");
  if (chosen.said) doubts.push(chosen.said);
  by("why").replaceChildren(...doubts.map((note) => make("li", {}, note)));
  by("why").parentElement.dataset.state = chosen.state;
}

function step(by_, only) {
  const order = [...by("numbers").tBodies[0].rows].filter((row) => !row.hidden || Number(row.dataset.id) === chosen.number_id);
  const at = order.findIndex((row) => Number(row.dataset.id) === chosen.number_id);
  for (let count = 1; count <= order.length; count += 1) {
    const index = at + by_ * count;
    const row = only ? order[(index + order.length) % order.length] : order[index];
    if (!row) return;
    const one = numbers.get(Number(row.dataset.id));
    if (!only || !DECIDED.has(one.state)) { choose(one.number_id, true); return; }
  }
  tell("Nothing is left to decide on this sheet.");
}

async function decide(action, more = {}) {
  const about = { action, part_number: chosen.part_number, number_id: chosen.number_id, ...more };
  try {
    const answer = await post(about);
    const touched = [...answer.decided, ...answer.rejected];
    if (touched.length) done.push(touched);
    by("undo").disabled = done.length === 0;
    learn(answer);
    const others = answer.rejected.length ? `, ${answer.rejected.length} competing rejected` : "";
    tell(`${counted(answer.decided.length, "number")} ${{ accept: "accepted", correct: "corrected", reject: "rejected" }[action]}${others}`);
    return true;
  } catch (error) {
    if (error.status === 409) learn(await ask(`/api/sheets/${sheet}`)); // somebody was faster: show what stands now
    tell(error.message, true);
    return false;
  }
}

function post(about) {
  return send(`/api/sheets/${sheet}/decisions`, { ...about, who: who(), seen_version: versions.get(about.part_number) });
}

async function accept() { if (await decide("accept")) step(1, true); }

async function correct() {
  const said = await askWhy("Correct", chosen, true);
  if (said && await decide("correct", said)) step(1, true);
}

async function reject() {
  const said = await askWhy("Reject", chosen, false);
  if (said && await decide("reject", said)) step(1, true);
}

async function acceptPart() {
  const left = await decide("accept", { number_id: null });
  if (left) step(1, true);
}

// Takes back the last decision: its numbers are undecided again, and both steps stay in the history.
async function undo() {
  const last = done.pop();
  if (!last) return;
  try {
    learn(await send(`/api/sheets/${sheet}/undo`, { parts: numbersToParts(last), who: who(), reason: "undone on the review page" }));
    choose(last[0], true);
    tell("Undone: undecided again.");
  } catch (error) {
    tell(error.message, true);
  }
  by("undo").disabled = done.length === 0;
}

function numbersToParts(ids) {
  const parts = new Map();
  for (const id of ids) {
    const { part_number } = numbers.get(id);
    if (!parts.has(part_number)) parts.set(part_number, []);
    parts.get(part_number).push(id);
  }
  return [...parts].map(([part_number, number_ids]) => ({ part_number, number_ids, seen_version: versions.get(part_number) }));
}

async function acceptRest() {
  const parts = [...versions.keys()].filter((part) => part !== "*");
  if (!confirm(`Accept every undisputed number of ${parts.length} parts? Do so only after comparing them with the page. Disputed ones stay undecided.`)) return;
  const accepted = [];
  for (const part_number of parts) {
    try {
      const answer = await post({ action: "accept", part_number });
      accepted.push(...answer.decided);
      learn(answer);
    } catch (error) { tell(error.message, true); break; }
  }
  if (accepted.length) done.push(accepted);
  by("undo").disabled = done.length === 0;
  if (accepted.length) tell(`${counted(accepted.length, "number")} accepted`);
}

function showFindings(findings) {
  by("findings").hidden = findings.length === 0;
  by("findings").querySelector("span").textContent = `(${findings.length})`;
  by("findings").querySelector("ul").replaceChildren(...findings.map((one) =>
    make("li", { "data-state": one.severity }, state(one.severity), ` ${shown(one.part_number)} ${shown(one.message)}`)));
}

const COMMANDS = { a: accept, c: correct, r: reject, u: undo, p: acceptPart, n: () => step(1, true), j: () => step(1), k: () => step(-1), ArrowDown: () => step(1), ArrowUp: () => step(-1) };

document.addEventListener("keydown", (event) => {
  const inField = event.target.closest("input, select, textarea, dialog, summary, #sight");
  if (!chosen || inField || event.ctrlKey || event.metaKey || event.altKey || !Object.hasOwn(COMMANDS, event.key)) return;
  if (event.key.length === 1 && !by("keys").checked) return;
  event.preventDefault();
  COMMANDS[event.key]();
});
for (const [id, what] of Object.entries({ accept, correct, reject, undo, next: COMMANDS.n, "accept-part": acceptPart, "accept-rest": acceptRest })) {
  by(id).addEventListener("click", what);
}
by("todo-only").addEventListener("change", filterRows);
const body = by("numbers").tBodies[0];
body.addEventListener("click", (event) => { const row = event.target.closest("tr"); if (row) choose(Number(row.dataset.id), true); });
for (const name of ["mouseover", "mouseout"]) {
  body.addEventListener(name, (event) => { const row = event.target.closest("tr"); if (row) picture.hover(Number(row.dataset.id), name === "mouseover"); });
}
start().catch((error) => tell(error.message, true));
