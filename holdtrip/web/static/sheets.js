// Datasheets: drop files, follow every import of this server, list what is stored.
import { ask, query, send, sendFile } from "./asking.js";
import { by, counted, make, shown, state, tell, time } from "./making.js";
import { who } from "./signature.js";

const maxBytes = Number(document.querySelector('meta[name="max-bytes"]').content);
const WORDS = { sending: "being sent", waiting: "waits", reading: "being read", stored: "stored", known: "known already", failed: "not read" };
const SIGNS = { stored: "accepted", known: "accepted", failed: "rejected" };
const ORDER = ["failed", "reading", "sending", "stored", "known", "waiting"];
const [BUSY_MS, IDLE_MS, SHOWN] = [700, 4000, 12];
const own = new Map(); // files this page sends itself: name → what the server cannot know yet
let told = ""; // the imports as last shown

async function list() {
  const { sheets, failures } = await ask(`/api/sheets?${query({ part: by("part").value.trim() })}`);
  listed = sheets;
  showListed();
  by("count").textContent = `(${sheets.length})`;
  by("empty").hidden = sheets.length > 0 || by("part").value !== "";
  by("failed").hidden = failures.length === 0;
  by("failures").replaceChildren(...failures.slice(-100).reverse().map((one) => make("li", {}, one.reason)));
}

let listed = []; // sheets as the server gave them
const sorted = { by: "imported", descending: true };
const KEYS = {
  document: (one) => one.sheet.document.toLowerCase(), house: (one) => one.sheet.house.toLowerCase() || "\uffff", series: (one) => one.series.toLowerCase() || "\uffff",
  revision: (one) => one.revision.toLowerCase() || "\uffff", parts: (one) => one.sheet.parts, share: (one) => one.decided / Math.max(1, one.decided + one.undecided),
  disputed: (one) => one.disputed, imported: (one) => Date.parse(one.sheet.imported_at),
};

function showListed() {
  const key = KEYS[sorted.by];
  const rows = [...listed].sort((a, b) => (key(a) < key(b) ? -1 : key(a) > key(b) ? 1 : 0));
  if (sorted.descending) rows.reverse();
  by("sheets").tBodies[0].replaceChildren(...rows.map(sheetToRow));
  for (const button of by("sheets").tHead.querySelectorAll(".sort")) {
    button.closest("th").setAttribute("aria-sort", button.dataset.order !== sorted.by ? "none" : sorted.descending ? "descending" : "ascending");
  }
}

function sheetToRow({ sheet, series, revision, disputed, undecided, decided }) {
  const all = undecided + decided;
  return make("tr", {},
    make("th", { scope: "row" }, make("a", { href: `/review?sheet=${sheet.sha256}` }, sheet.document), sheet.newest ? "" : " (older revision)",
      sheet.assigned ? make("div", { class: "detail" }, `to be reviewed by ${sheet.assigned}`) : "",
      sheet.comments ? make("div", { class: "detail" }, `${sheet.comments} comment${sheet.comments === 1 ? "" : "s"}: holdtrip sheet ${sheet.sha256.slice(0, 12)}`) : ""),
    make("td", { class: "house", "data-name": sheet.house ? "maker" : "" }, sheet.house),
    make("td", { class: "raw", "data-name": "series" }, series),
    make("td", { "data-name": revision && !/^rev/i.test(revision) ? "revision" : "" }, revision),
    make("td", { class: "num", "data-name": "parts" }, sheet.parts),
    make("td", {}, make("span", { class: "share" }, slope(all ? decided / all : 1), make("span", {}, `${decided} of ${all}`))),
    make("td", { class: "num", "data-state": disputed ? "disputed" : "", "data-name": "disputed" }, disputed ? state(disputed) : 0),
    make("td", { title: `${time(sheet.imported_at)} UTC, ${shown(sheet.imported_by)}` }, `${age(sheet.imported_at)}, `, make("span", { class: "by" }, sheet.imported_by)));
}

// The share that is decided, as a derating line filled from the left.
function slope(share) {
  const path = "M0 2H34L88 15V18H0Z";
  const done = make("svg:path", { class: "done", d: path });
  done.style.clipPath = `inset(0 ${(100 - 100 * share).toFixed(1)}% 0 0)`;
  return make("svg:svg", { viewBox: "0 0 88 18", preserveAspectRatio: "none", "aria-hidden": "true" }, make("svg:path", { class: "left", d: path }), done);
}

function age(at) {
  const minutes = (Date.now() - Date.parse(at)) / 60000;
  if (minutes < 60) return minutes < 1 ? "just now" : `${Math.round(minutes)} min ago`;
  if (minutes < 60 * 36) return `${Math.round(minutes / 60)} h ago`;
  return `${Math.round(minutes / 1440)} days ago`;
}

async function take(files) {
  for (const file of files) {
    own.set(file.name, { document: file.name, state: file.size > maxBytes ? "failed" : "waiting", message: file.size > maxBytes ? "too large" : "" });
  }
  show(await ask("/api/imports").catch(() => []));
  for (const file of files) {
    if (own.get(file.name).state === "failed") continue;
    own.set(file.name, { document: file.name, state: "sending" });
    try {
      await sendFile(`/api/sheets?${query({ name: file.name })}&who=${encodeURIComponent(who())}`, file, "application/pdf",
        (share) => { own.get(file.name).share = share; });
      own.delete(file.name);
    } catch (error) {
      own.set(file.name, { document: file.name, state: "failed", message: error.message });
    }
    poll();
  }
}

function show(jobs) {
  const all = [...jobs, ...own.values()].sort((a, b) => ORDER.indexOf(a.state) - ORDER.indexOf(b.state) || inTurn(a, b));
  const left = all.filter((one) => ["sending", "waiting", "reading"].includes(one.state));
  const reading = all.filter((one) => one.state === "reading").map((one) => `${one.document} ${readingFor(one)}`);
  by("running").hidden = left.length === 0;
  by("running-says").textContent = shown(`${all.length - left.length} of ${all.length} files done${reading.length ? `; being read: ${reading.join("; ")}` : ""}`);
  by("running-share").value = all.length ? 1 - left.length / all.length : 1;
  const kept = all.filter((one) => one.state === "failed" || one.state === "reading");
  const some = [...kept, ...all.filter((one) => !kept.includes(one)).slice(0, Math.max(0, SHOWN - kept.length))];
  const now = JSON.stringify(some.map((one) => [one.job_id, one.document, one.state, one.message]));
  if (now === told) return;
  told = now;
  by("jobs").replaceChildren(...some.map(jobToItem));
  by("jobs-more").textContent = all.length > some.length ? `and ${all.length - some.length} more` : "";
}

const readingFor = (job) => `(${Math.round(job.seconds)} s${job.pages ? `, page ${job.page} of ${job.pages}` : ""})`;

// What waits stands in the order in which it will be read, everything else with the newest first.
const inTurn = (a, b) => ((a.job_id || Infinity) - (b.job_id || Infinity) || 0) * (a.state === "waiting" ? 1 : -1);

function jobToItem(job) {
  const counts = job.numbers ? `${counted(job.parts, "part")}, ${counted(job.numbers, "number")}: ${job.disputed} disputed, ${job.single} read once, ${counted(job.findings, "finding")}` : "";
  const does = [];
  if (job.state === "stored" || job.state === "known") does.push(make("a", { class: "button", href: `/review?sheet=${job.sha256}` }, "Review"));
  if (job.can_retry) does.push(make("button", { type: "button", onclick: () => change(() => send(`/api/imports/${job.job_id}/retry`, {})) }, "Try again"));
  if (job.can_retry) does.push(make("button", { type: "button", title: "Open its pages and draw frames around its tables", onclick: () => change(() => byHand(job)) }, "Frame its tables"));
  if (job.can_retry) does.push(make("button", { type: "button", onclick: () => change(() => send(`/api/imports/${job.job_id}`, {}, "DELETE")) }, "Remove"));
  if (job.state === "failed" && !job.job_id) does.push(make("button", { type: "button", onclick: () => { own.delete(job.document); poll(); } }, "Remove"));
  return make("li", { "data-state": SIGNS[job.state] || "" },
    make("div", {}, make("strong", {}, job.document), " ", state(WORDS[job.state]), make("span", { class: "told" }, job.state === "failed" ? withoutName(job) : counts)),
    make("div", { class: "does" }, ...does));
}

async function byHand(job) {
  await send(`/api/imports/${job.job_id}/by-hand?who=${encodeURIComponent(who())}`, {});
  location.assign(`/review?sheet=${job.sha256}`);
}

async function change(what) {
  try { await what(); } catch (error) { tell(error.message, true); }
  poll();
}

// A reason often begins with the file's name, which stands before it already.
const withoutName = (job) => (job.message.startsWith(`${job.document}: `) ? job.message.slice(job.document.length + 2) : job.message);

// Asks again and again, faster while something is read; a server that is away is asked until it is back.
let timer = 0;
let finished = null;
async function poll() {
  clearTimeout(timer);
  let busy = own.size > 0;
  try {
    const jobs = await ask("/api/imports");
    by("lost").hidden = true;
    show(jobs);
    busy ||= jobs.some((job) => job.state === "waiting" || job.state === "reading");
    const done = jobs.filter((job) => ["stored", "known", "failed"].includes(job.state)).length;
    if (done !== finished) { finished = done; await list(); }
  } catch (error) {
    if (error.status) tell(error.message, true); else by("lost").hidden = false;
    finished = null;
  }
  clearTimeout(timer);
  timer = setTimeout(poll, busy ? BUSY_MS : IDLE_MS);
}

by("files").addEventListener("change", (event) => { take([...event.target.files]); event.target.value = ""; });
for (const name of ["dragover", "dragleave", "drop"]) {
  document.addEventListener(name, (event) => {
    event.preventDefault();
    by("drop").classList.toggle("over", name === "dragover");
    if (name === "drop") take([...event.dataTransfer.files]);
  });
}
by("sheets").tHead.addEventListener("click", (event) => {
  const order = event.target.closest(".sort")?.dataset.order;
  if (!order) return;
  Object.assign(sorted, { descending: sorted.by === order && !sorted.descending, by: order });
  showListed();
});
by("part").addEventListener("input", () => list().catch((error) => tell(error.message, true)));
poll();
