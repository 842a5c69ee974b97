// Checking a typed table: findings in a list and at their cells, each leading to the other.
import { query, send, sendFile } from "./asking.js";
import { by, make, shown, state, tell } from "./making.js";
import { who } from "./signature.js";
import { askSilence } from "./silence.js";

const GRAVITY = ["error", "doubt", "note"];
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
  } catch (error) {
    tell(error.message, true);
  }
}

let checkId = "";

function show(answer) {
  checkId = answer.check_id;
  const count = (severity) => answer.findings.filter((one) => one.severity === severity).length;
  const silenced = answer.silenced ? `, ${answer.silenced} silenced before` : "";
  by("state").textContent = shown(`${answer.name}: ${count("error")} errors, ${count("doubt")} doubts, ${count("note")} notes${silenced}. No table is ever called clean: see below what no check reached.`);
  by("answer").hidden = false;
  by("marked").href = `/api/checks/${answer.check_id}/marked.xlsx`;
  by("list-csv").href = `/api/checks/${answer.check_id}/findings.csv`;
  const sorted = answer.findings.map((one, at) => ({ ...one, number: at + 1 })).sort((a, b) => GRAVITY.indexOf(a.severity) - GRAVITY.indexOf(b.severity));
  by("findings").replaceChildren(...sorted.map(findingToItem));
  by("checked").replaceChildren(...answer.checked.map((text) => make("li", {}, text)));
  by("unchecked").replaceChildren(...answer.unchecked.map((text) => make("li", {}, text)));
  by("headings").replaceChildren(...answer.sheets.flatMap((sheet) => sheet.columns.map(([heading]) => make("option", { value: heading }))));
  by("grids").replaceChildren(...answer.sheets.flatMap((sheet) => sheetToGrid(sheet, sorted)));
}

const key = (sheet, cell) => `cell ${sheet} ${cell}`;

function findingToItem(one, index) {
  const where = one.cell ? make("button", { type: "button", class: "mark", onclick: () => goTo(key(one.sheet, one.cell), index) }, one.cell) : `row ${one.row}`;
  const source = one.document ? `${one.document}${one.page ? ` page ${one.page}` : ""}` : "";
  const details = [one.found && `found ${one.found}`, one.expected && `expected ${one.expected}`, one.cause && `likely cause: ${one.cause}`, source, `code ${one.code}`].filter(Boolean);
  return make("li", { "data-state": one.severity, id: `f${index}`, tabindex: -1 },
    state(one.severity), " ", where, shown(` ${one.column} ${one.part_number}: ${one.message}`), make("span", { class: "detail" }, details.join("; ")),
    make("button", { type: "button", class: "silence", "aria-label": `The source says so: silence finding ${one.number}`, onclick: () => silence(one) }, "The source says so"));
}

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
  for (const old of document.querySelectorAll(".grid .chosen")) old.classList.remove("chosen");
  for (const old of document.querySelectorAll("#findings [aria-current]")) old.removeAttribute("aria-current");
  by(`f${index}`).setAttribute("aria-current", "true");
  by(cell)?.classList.add("chosen");
  const target = by(id);
  if (!target) { tell("That cell is not among the rows shown."); return; }
  target.scrollIntoView({ block: "center", inline: "center" });
  (target.querySelector(".mark") || target).focus({ preventScroll: true });
}

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
