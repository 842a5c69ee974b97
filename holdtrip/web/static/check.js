// Checking a typed table: findings in a list and at their cells, each leading to the other.
import { ask, query, send, sendFile } from "./asking.js";
import { by, counted, make, shown, state, tell, time } from "./making.js";
import { pictureOf } from "./proof.js";
import { listen } from "./review_keys.js";
import { who } from "./signature.js";
import { askSilence, askTakeBack } from "./silence.js";

const SEVERITY_RANK = ["error", "doubt", "note"];
let sent = null; // the file checked last, to check it again when the tick or a meaning changes
const meanings = new Map(); // heading → what a person says it means

function open(file) {
  if (!file) return;
  meanings.clear();
  by("headings").replaceChildren();
  check(file);
}

async function check(file) {
  if (!file) return false;
  sent = file;
  by("state").textContent = shown(`${file.name}: being checked`);
  by("misread").hidden = false;
  by("said").replaceChildren();
  showMeanings();
  try {
    const maps = [...meanings].map(([heading, meaning]) => `&${query({ map: `${heading}=${meaning}` })}`).join("");
    const address = `/api/checks?${query({ name: file.name, against_library: by("against").checked })}${maps}`;
    show(await sendFile(address, file, "application/octet-stream", () => {}));
    return true;
  } catch (error) {
    by("answer").hidden = true;
    by("state").textContent = shown(error.message);
    return false;
  }
}

function showMeanings() {
  by("mapped").replaceChildren(...[...meanings].map(([heading, meaning]) => make("li", {}, `“${heading}” is read as ${meaning} `,
    make("button", { type: "button", "aria-label": `Forget what ${shown(heading)} means`, onclick: () => { meanings.delete(heading); check(sent); by("heading").focus(); } }, "Forget"))));
}

// Puts a column into the form above, to say what it means.
function askMeaning(heading) {
  by("misread").open = true;
  by("heading").value = heading;
  by("meaning").value = meanings.get(heading) || "";
  by("meaning").focus();
}

async function mean(event) {
  event.preventDefault();
  const [hidden, said] = [by("answer").hidden, by("state").textContent];
  const heading = by("heading").value.trim();
  const before = meanings.get(heading);
  meanings.set(heading, by("meaning").value.trim());
  if (await check(sent)) { by("mean").reset(); by("heading").focus(); return; }
  const refused = by("state").textContent;
  [by("answer").hidden, by("state").textContent] = [hidden, said]; // what was shown before still holds
  if (before === undefined) meanings.delete(heading); else meanings.set(heading, before);
  showMeanings();
  by("meaning").focus();
  tell(refused, true);
}

async function silence(one) {
  const reason = await askSilence(one);
  if (!reason) return;
  try {
    show(await send(`/api/checks/${checkId}/silences`, { finding: one.number, code: one.code, reason, who: who() }));
    by("findings-title").focus();
    tell("Remembered in the library; it is raised no more.");
    listSilences(await ask("/api/checks/silences/all"));
  } catch (error) {
    tell(error.message, true);
  }
}

function listSilences(kept) {
  by("silenced").hidden = kept.length === 0;
  by("silenced-count").textContent = `(${kept.length})`;
  by("silences").replaceChildren(...kept.map((one) => make("li", {}, make("strong", {}, one.part_number || "the table"), ` ${shown(one.value)}`,
    make("span", { class: "detail" }, `${one.who}, ${time(one.at)} UTC: ${one.reason}; code ${one.code}; mark `, named(one.mark)),
    make("button", { type: "button", class: "silence", onclick: () => takeBack(one) }, "Take back"))));
}

async function takeBack(one) {
  const reason = await askTakeBack(one);
  if (!reason) return;
  try {
    listSilences(await send("/api/checks/silences/take-back", { number: one.number, value: one.value, reason, who: who() }));
    if (sent) await check(sent);
    tell("Taken back: the next check raises it again.");
  } catch (error) { tell(error.message, true); }
}

let checkId = "";
let sorted = []; // findings as listed
let at = 0; // which of them is looked at
const taken = new Set(); // numbers of findings whose repair is taken

function show(answer) {
  checkId = answer.check_id;
  taken.clear();
  const count = (severity) => answer.findings.filter((one) => one.severity === severity).length;
  const silenced = answer.silenced ? `, ${answer.silenced} silenced before` : "";
  by("state").textContent = shown(`${answer.name}: ${count("error")} errors, ${count("doubt")} doubts, ${count("note")} notes${silenced}. No table is ever called clean: see below what no check reached.`);
  by("answer").hidden = false;
  by("marked").href = `/api/checks/${answer.check_id}/marked.xlsx`;
  by("list-csv").href = `/api/checks/${answer.check_id}/findings.csv`;
  sorted = answer.findings.map((one, index) => ({ ...one, number: index + 1, mark: answer.marks[index] })).sort((a, b) => SEVERITY_RANK.indexOf(a.severity) - SEVERITY_RANK.indexOf(b.severity));
  by("findings").replaceChildren(...sorted.map(findingToItem));
  by("checked").replaceChildren(...answer.checked.map((text) => make("li", {}, text)));
  by("unchecked").replaceChildren(...answer.unchecked.map((text) => make("li", {}, text)));
  by("headings").replaceChildren(...answer.sheets.flatMap((sheet) => sheet.columns.map(([heading]) => make("option", { value: heading }))));
  by("grids").replaceChildren(...answer.sheets.flatMap((sheet) => sheetToGrid(sheet, sorted)));
  showRepairs();
  if (sorted.length) look(0, false);
}

const key = (sheet, cell) => `cell ${sheet} ${cell}`;

// The letters by which `holdtrip check --silence` and `holdtrip silences` name a finding; one click takes them whole.
const named = (mark) => make("span", { class: "named" }, mark);

// One line for one slip, however many cells it explains.
function findingToItem(one, index) {
  const address = one.cell || "";
  const where = address ? make("button", { type: "button", class: "mark", onclick: () => goTo(key(one.sheet, address), index) }, address) : `row ${one.row}`;
  const many = one.cells.length > 1 ? ` and ${counted(one.cells.length - 1, "cell")} more` : "";
  const source = one.document ? `${one.document}${one.page ? ` page ${one.page}` : ""}` : "";
  const details = [one.found && `found ${one.found}`, one.expected && `expected ${one.expected}`, one.cause && `likely cause: ${one.cause}`, one.evidence, source, `code ${one.code}`].filter(Boolean);
  const repair = one.changes.length ? make("label", { class: "repair" }, repairTick(one, index), " Take the repair: ", make("span", { class: "raw" }, one.changes.slice(0, 3).map(([cell, text]) => `${cell} → ${text || "empty"}`).join(", ")), one.changes.length > 3 ? ` and ${one.changes.length - 3} more` : "") : "";
  return make("li", { "data-state": one.severity, id: `f${index}`, tabindex: -1, onclick: (event) => { if (!event.target.closest("button, label, a")) look(index); } },
    state(one.severity), " ", where, shown(`${many} ${one.column} ${one.part_number}: ${one.message}`), make("span", { class: "detail" }, `${details.join("; ")}; mark `, named(one.mark)), repair,
    make("button", { type: "button", class: "silence", "aria-label": `The source says so: silence finding ${one.number}`, onclick: () => silence(one) }, "The source says so"));
}

function repairTick(one, index) {
  const tick = make("input", { type: "checkbox", "data-repair": one.number, "aria-label": `Take the repair of finding ${one.number}` });
  tick.addEventListener("change", () => { look(index, false); take(one, tick.checked); });
  return tick;
}

function take(one, is) {
  if (!one.changes.length) { tell("This finding has no repair: a person must look.", true); return; }
  if (is) taken.add(one.number); else taken.delete(one.number);
  for (const tick of document.querySelectorAll(`[data-repair="${one.number}"]`)) tick.checked = is;
  showRepairs();
}

function showRepairs() {
  const possible = sorted.filter((one) => one.changes.length).length;
  by("corrected").hidden = taken.size === 0;
  by("corrected").href = `/api/checks/${checkId}/corrected?${[...taken].map((number) => `repair=${number}`).join("&")}`;
  by("repairs-say").textContent = possible ? `${taken.size} of ${counted(possible, "repair")} taken` : "";
  for (const cell of document.querySelectorAll(".grid .mended")) { cell.classList.remove("mended"); cell.querySelector("ins")?.remove(); }
  for (const one of sorted.filter((finding) => taken.has(finding.number))) {
    for (const [address, text] of one.changes) {
      const cell = by(key(one.sheet, address));
      if (!cell || cell.classList.contains("mended")) continue;
      cell.classList.add("mended");
      cell.append(make("ins", {}, ` → ${text || "empty"}`));
    }
  }
}

// Looks at a finding: its line, its cells, and the place of the page it contradicts.
let turn = 0;
async function look(index, moves = true) {
  at = index;
  const one = sorted[index];
  for (const old of document.querySelectorAll("#findings [aria-current]")) old.removeAttribute("aria-current");
  by(`f${index}`).setAttribute("aria-current", "true");
  if (moves) by(`f${index}`).scrollIntoView({ block: "nearest" });
  for (const old of document.querySelectorAll(".grid .chosen")) old.classList.remove("chosen");
  for (const cell of one.cells.length ? one.cells : [one.cell]) by(key(one.sheet, cell))?.classList.add("chosen");
  const mine = ++turn;
  by("proof-place").hidden = true;
  const found = one.document ? await ask(`/api/checks/${checkId}/findings/${one.number}/source`).catch(() => null) : null;
  if (mine !== turn) return;
  if (found) {
    by("proof-place").hidden = false;
    by("proof").replaceChildren(pictureOf(found, by("proof").clientWidth || 420), make("a", { href: `/review?sheet=${found.sha256}#n${found.number_id}` }, "on the page"));
  }
  if (moves) showCell(one, index);
}

// The cell of a finding stands in sight beside it, where there is room for both.
function showCell(one, index) {
  if (!matchMedia("(min-width: 62.01rem)").matches) return;
  for (const id of [key(one.sheet, one.cell), `f${index}`]) by(id)?.scrollIntoView({ block: "nearest", inline: "nearest" });
}

const step = (by_) => { if (sorted.length) look(Math.min(sorted.length - 1, Math.max(0, at + by_))); };
const takeAndGo = (is) => { if (sorted.length) { take(sorted[at], is); step(1); } };

function letters(index) {
  let text = "";
  for (let rest = index; rest > 0; rest = Math.floor((rest - 1) / 26)) text = String.fromCharCode(65 + ((rest - 1) % 26)) + text;
  return text;
}

function sheetToGrid(sheet, findings) {
  const width = Math.max(0, ...sheet.rows.map((row) => row.length));
  const found = new Map();
  findings.forEach((one, index) => { if (one.sheet === sheet.name && one.cell && !found.has(one.cell)) found.set(one.cell, [one, index]); });
  const head = make("thead", {}, make("tr", {}, make("td"), ...Array.from({ length: width }, (_, column) => make("th", { scope: "col" }, letters(column + 1)))));
  const body = sheet.rows.map((row, at) => make("tr", {}, make("th", { scope: "row" }, at + 1),
    ...Array.from({ length: width }, (_, column) => textToCell(sheet.name, `${letters(column + 1)}${at + 1}`, row[column] ?? "", found))));
  const cut = sheet.row_count > sheet.rows.length ? [make("p", {}, `The first ${sheet.rows.length} of ${sheet.row_count} rows are shown; the findings are of all.`)] : [];
  const columns = make("details", {}, make("summary", {}, "Columns as understood"), make("table", { class: "columns" },
    make("thead", {}, make("tr", {}, ...["Heading", "Understood as", "Unit", "Because", ""].map((name) => make(name ? "th" : "td", name ? { scope: "col" } : {}, name)))),
    make("tbody", {}, ...sheet.columns.map(([heading, ...rest]) => make("tr", {}, make("th", { scope: "row" }, heading), ...rest.map((text) => make("td", {}, text)),
      make("td", {}, make("button", { type: "button", "aria-label": `Change what ${shown(heading)} means`, onclick: () => askMeaning(heading) }, "Change")))))));
  const title = sheet.name ? [make("h3", {}, sheet.name)] : [];
  return [...title, columns, make("div", { class: "grid", role: "region", "aria-label": `Cells of the table ${shown(sheet.name)}`, tabindex: 0 }, make("table", {}, head, make("tbody", {}, ...body))), ...cut];
}

function textToCell(sheet, cell, text, found) {
  const [one, index] = found.get(cell) || [];
  const sign = one && make("button", { type: "button", class: "mark", "aria-label": `${one.severity}: finding ${index + 1}`, onclick: () => goTo(`f${index}`, index, key(sheet, cell)) }, { error: "✗", doubt: "?", note: "·" }[one.severity]);
  return make("td", { id: key(sheet, cell), "data-state": one?.severity }, text, sign || "");
}

function goTo(id, index, cell = id) {
  look(index, false);
  const target = by(id);
  if (!target) { tell("That cell is not among the rows shown."); return; }
  by(cell)?.classList.add("chosen");
  target.scrollIntoView({ block: "center", inline: "center" });
  (target.querySelector(".mark") || target).focus({ preventScroll: true });
}

listen({ n: () => step(1), j: () => step(1), k: () => step(-1), a: () => takeAndGo(true), x: () => takeAndGo(false), s: () => sorted.length && silence(sorted[at]) });
by("files").addEventListener("change", (event) => { open(event.target.files[0]); event.target.value = ""; });
by("mean").addEventListener("submit", mean);
by("against").addEventListener("change", () => check(sent));
for (const name of ["dragover", "dragleave", "drop"]) {
  document.addEventListener(name, (event) => {
    event.preventDefault();
    by("drop").classList.toggle("over", name === "dragover");
    if (name === "drop") open(event.dataTransfer.files[0]);
  });
}
ask("/api/checks/silences/all").then(listSilences).catch((error) => tell(error.message, true));
