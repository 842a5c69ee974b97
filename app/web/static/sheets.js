// Datasheets: drop files, follow their import, list what is stored.
import { ask, query, sendFile } from "./asking.js";
import { by, counted, make, shown, state, tell, time } from "./making.js";
import { who } from "./signature.js";

const lines = new Map();
const maxBytes = Number(document.querySelector('meta[name="max-bytes"]').content);
const WORDS = { waiting: "waits", reading: "being read", stored: "stored", known: "known already", failed: "not read" };
const SIGNS = { stored: "accepted", known: "accepted", failed: "rejected" };

async function list() {
  const { sheets, failures } = await ask("/api/sheets");
  by("sheets").tBodies[0].replaceChildren(...sheets.map(sheetToRow));
  by("count").textContent = `(${sheets.length})`;
  by("empty").hidden = sheets.length > 0;
  by("failed").hidden = failures.length === 0;
  by("failures").replaceChildren(...failures.map((one) => make("li", {}, one.reason)));
}

function sheetToRow({ sheet, disputed, undecided }) {
  const address = `/review?sheet=${sheet.sha256}`;
  return make("tr", {},
    make("th", { scope: "row" }, make("a", { href: address }, sheet.document), sheet.newest ? "" : " (older revision)"),
    make("td", {}, sheet.revision),
    make("td", { class: "num" }, sheet.parts), make("td", { class: "num" }, sheet.readings),
    make("td", { class: "num", "data-state": disputed ? "disputed" : "" }, disputed ? state(disputed) : 0),
    make("td", { class: "num" }, undecided), make("td", { class: "when" }, `${time(sheet.imported_at)} ${sheet.imported_by}`));
}

async function take(files) {
  for (const file of files) {
    const line = make("li", {}, `${file.name}: `, make("progress", { max: 1, value: 0, "aria-label": `sending ${shown(file.name)}` }));
    by("jobs").prepend(line);
    if (file.size > maxBytes) { show(line, { document: file.name, state: "failed", message: "too large" }); continue; }
    try {
      const job = await sendFile(`/api/sheets?${query({ name: file.name, who: who() })}`, file, "application/pdf",
        (share) => { line.querySelector("progress").value = share; });
      lines.set(job.job_id, line);
      show(line, job);
    } catch (error) {
      show(line, { document: file.name, state: "failed", message: error.message });
    }
  }
  follow();
}

function show(line, job) {
  line.dataset.state = SIGNS[job.state] || "";
  const busy = job.state === "waiting" || job.state === "reading";
  const counts = job.numbers
    ? `: ${counted(job.parts, "part")}, ${counted(job.numbers, "number")}, ${job.disputed} disputed, ${job.single} read once, ${counted(job.findings, "finding")}. ` : ". ";
  line.replaceChildren(
    shown(`${job.document}: `), state(WORDS[job.state]), job.state === "failed" ? shown(`. ${withoutName(job)}`) : counts,
    busy ? make("progress", { "aria-label": "reading" }) : "",
    job.numbers ? make("a", { href: `/review?sheet=${job.sha256}` }, "Review") : "");
}

// A reason often begins with the file's name, which stands before it already.
function withoutName(job) {
  return job.message.startsWith(`${job.document}: `) ? job.message.slice(job.document.length + 2) : job.message;
}

let following = false;
async function follow() {
  if (following) return;
  following = true;
  for (let busy = true; busy;) {
    const jobs = await ask("/api/imports");
    for (const job of jobs) if (lines.has(job.job_id)) show(lines.get(job.job_id), job);
    busy = jobs.some((job) => job.state === "waiting" || job.state === "reading");
    await list();
    if (busy) await new Promise((resolve) => setTimeout(resolve, 400));
  }
  following = false;
}

by("files").addEventListener("change", (event) => { take([...event.target.files]); event.target.value = ""; });
for (const name of ["dragover", "dragleave", "drop"]) {
  document.addEventListener(name, (event) => {
    event.preventDefault();
    by("drop").classList.toggle("over", name === "dragover");
    if (name === "drop") take([...event.dataTransfer.files]);
  });
}
list().catch((error) => tell(error.message, true));
