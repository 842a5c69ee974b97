// Checking a typed table: findings in a list and at their cells, each leading to the other.
import { query, sendFile } from "./asking.js";
import { by, make, shown, state, tell } from "./making.js";

const GRAVITY = ["error", "doubt", "note"];
let sent = null; // the file checked last, to check it again when the tick changes

async function check(file) {
  if (!file) return;
  sent = file;
  by("state").textContent = shown(`${file.name}: being checked`);
  try {
    const address = `/api/checks?${query({ name: file.name, against_library: by("against").checked })}`;
    show(await sendFile(address, file, "application/octet-stream", () => {}));
  } catch (error) {
    by("answer").hidden = true;
    by("state").textContent = shown(error.message);
  }
}

function show(answer) {
  const count = (severity) => answer.findings.filter((one) => one.severity === severity).length;
  const silenced = answer.silenced ? `, ${answer.silenced} silenced before` : "";
  by("state").textContent = shown(`${answer.name}: ${count("error")} errors, ${count("doubt")} doubts, ${count("note")} notes${silenced}. No table is ever called clean: see below what no check reached.`);
  by("answer").hidden = false;
  by("marked").href = `/api/checks/${answer.check_id}/marked.xlsx`;
  by("list-csv").href = `/api/checks/${answer.check_id}/findings.csv`;
  const sorted = [...answer.findings].sort((a, b) => GRAVITY.indexOf(a.severity) - GRAVITY.indexOf(b.severity));
  by("findings").replaceChildren(...sorted.map(findingToItem));
  by("checked").replaceChildren(...answer.checked.map((text) => make("li", {}, text)));
  by("unchecked").replaceChildren(...answer.unchecked.map((text) => make("li", {}, text)));
  by("grids").replaceChildren(...answer.sheets.flatMap((sheet) => sheetToGrid(sheet, sorted)));
}

const key = (sheet, cell) => `cell ${sheet} ${cell}`;

function findingToItem(one, index) {
  const where = one.cell ? make("button", { type: "button", class: "mark", onclick: () => goTo(key(one.sheet, one.cell), index) }, one.cell) : `row ${one.row}`;
  const source = one.document ? `${one.document}${one.page ? ` page ${one.page}` : ""}` : "";
  const details = [one.found && `found ${one.found}`, one.expected && `expected ${one.expected}`, one.cause && `likely cause: ${one.cause}`, source, `code ${one.code}`].filter(Boolean);
  return make("li", { "data-state": one.severity, id: `f${index}`, tabindex: -1 },
    state(one.severity), " ", where, shown(` ${one.column} ${one.part_number}: ${one.message}`), make("span", { class: "detail" }, details.join("; ")));
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
  const meanings = make("details", {}, make("summary", {}, "Columns as understood"),
    make("ul", {}, ...sheet.columns.map(([heading, meaning, unit, why]) => make("li", {}, `${heading}: ${[meaning, unit, why].filter(Boolean).join(", ")}`))));
  const title = sheet.name ? [make("h3", {}, sheet.name)] : [];
  return [...title, meanings, make("div", { class: "grid", role: "region", "aria-label": `Cells of the table ${shown(sheet.name)}`, tabindex: 0 }, make("table", {}, head, make("tbody", {}, ...body))), ...cut];
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

by("files").addEventListener("change", (event) => { check(event.target.files[0]); event.target.value = ""; });
by("against").addEventListener("change", () => check(sent));
for (const name of ["dragover", "dragleave", "drop"]) {
  document.addEventListener(name, (event) => {
    event.preventDefault();
    by("drop").classList.toggle("over", name === "dragover");
    if (name === "drop") check(event.dataTransfer.files[0]);
  });
}
