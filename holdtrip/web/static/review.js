// Review of one datasheet: question by question or number by number, each beside its picture, by key or button.
import { Answers } from "./answers.js";
import { ask } from "./asking.js";
import { Decisions } from "./decisions.js";
import { Drawn } from "./drawn.js";
import { Fixing } from "./fixing.js";
import { Framing } from "./framing.js";
import { by, counted, make, shown, tell } from "./making.js";
import { PagePicture } from "./page_picture.js";
import { figureOf, marked } from "./proof.js";
import { Lists } from "./review_lists.js";
import { listen } from "./review_keys.js";
import { meaning, partName, ReviewState } from "./review_state.js";
import { who } from "./signature.js";
import { Unread } from "./unread.js";

const sheet = new URLSearchParams(location.search).get("sheet") || "";
const state = new ReviewState();
const picture = new PagePicture(sheet, state, pick, hover);
const lists = new Lists(state, { onnumber: pick, oncause: askCause, onundo: takeBack, onhover: hover, onopen: () => { if (chosen) show(); } });
const decisions = new Decisions(sheet, state, told, refused);
const fixing = new Fixing(sheet, save);
const answers = new Answers(sheet, tookOver, (error) => refused(error, []));
const unread = new Unread(sheet, picture);
picture.onpage = () => unread.show();
const framing = new Framing(sheet, picture, tookOver);
const SCOPES = { number: "this number", row: "its row", column: "its column", cause: "the whole question", range: "the numbers taken" };
const [MOST_SHOWN, ROOM_EACH] = [3, 180]; // pictures of a question that one answer settles; of their width in pixels
const RECOGNISED = "Recognised from a picture: compare digit by digit with the page.";
let chosen = null; // number_id
let cause = null; // the question being answered
let scope = "number";
let range = []; // numbers taken with Shift

async function start() {
  const review = await ask(`/api/sheets/${sheet}`);
  const title = shown(review.sheet.document);
  document.title = `${title} · review`;
  Object.assign(by("title"), { textContent: title, title });
  state.open(review);
  picture.open(review.pages);
  lists.fill();
  lists.update([]);
  showProgress();
  const asked = state.numbers.get(Number(location.hash.slice(2)));
  const first = state.openCauses()[0];
  if (asked) pick(asked.number_id); else if (first) askCause(first); else if (state.numbers.size) pick([...state.numbers.keys()][0]);
  if (!state.causes.length) lists.open(by("tab-numbers"));
  showNothing();
  state.learnBoxes(await ask(`/api/sheets/${sheet}/boxes`));
  picture.replace();
  if (chosen) show();
  lists.showFindings(await ask(`/api/sheets/${sheet}/findings`));
  const parts = [...new Set([...state.numbers.values()].map((one) => one.part_number))];
  await new Drawn(sheet, picture, parts, () => lists.open(by("tab-curves"))).open();
}

// A sheet of which nothing was read: its tables can be framed, nothing else can be done.
function showNothing() {
  by("card").inert = state.numbers.size === 0;
  if (state.numbers.size) return;
  by("what").textContent = "Nothing was read from this sheet";
  by("why").replaceChildren(make("li", {}, "Turn to a table, press f or “Frame a table”, and draw a frame around it, its heading included. Its columns are proposed; what is read is checked as any other number."));
}

// ------------------------------------------------------------------ what is looked at

function pick(id, several = false) {
  if (several && chosen) {
    const order = lists.walk();
    const [from, to] = [order.indexOf(range[0] || chosen), order.indexOf(id)].sort((a, b) => a - b);
    const anchor = range[0] || chosen;
    range = [anchor, ...order.slice(from, to + 1).filter((one) => one !== anchor)];
    scope = "range";
  } else {
    range = [];
    const own = state.causeOf.get(id) || null;
    if (own !== cause || scope === "range") { cause = own; scope = scopeOf(own); }
  }
  chosen = id;
  history.replaceState(null, "", `#n${id}`);
  show();
}

const scopeOf = (one) => (one && one.sort !== "values" ? "cause" : "number");

function askCause(one) {
  [cause, range, scope] = [one, [], scopeOf(one)];
  chosen = one.number_ids.find((id) => state.isOpen(id)) || one.number_ids[0];
  history.replaceState(null, "", `#n${chosen}`);
  show();
}

// The numbers that the next decision is about, decided ones left out unless only one is looked at.
function covered() {
  const all = { number: () => [chosen], row: () => state.mates(chosen, "row"), column: () => state.mates(chosen, "column"), cause: () => cause.number_ids, range: () => range }[scope]();
  return all.length === 1 ? all : state.openOf(all);
}

function hover(id, is) {
  lists.hover(id, is);
  picture.hover(id, is);
}

function show() {
  const ids = covered();
  picture.choose(chosen, ids);
  lists.choose(chosen, ids, cause);
  showQuestion(ids);
  showProof();
  showScope(ids);
}

function showQuestion(ids) {
  const one = state.numbers.get(chosen);
  const number = cause ? state.causes.indexOf(cause) + 1 : 0;
  by("which").textContent = cause ? shown(`Question ${number} of ${state.causes.length} · ${cause.about}`) : `${shown(one.state.replaceAll("_", " "))}`;
  by("what").textContent = shown(cause ? cause.title : `${partName(one)} ${meaning(one)}`);
  const reasons = cause ? [...cause.reasons] : [...one.notes];
  if (cause && cause.number_ids.length > 1 && cause.sort === "answers") reasons.unshift(`Shown: ${partName(one)} ${meaning(one)}, read as ${one.corrected || one.shown}.`);
  if ((cause ? cause.number_ids : [chosen]).some((id) => state.numbers.get(id).recognised)) reasons.unshift(RECOGNISED);
  if (!cause && one.status === "single") reasons.unshift("One reading only: nothing independent confirms it.");
  if (!cause && one.status === "agreed") reasons.unshift("Two independent readings of this cell agree.");
  if (cause && cause.number !== number) reasons.push(`holdtrip read and holdtrip answer call it question ${cause.number}.`);
  if (one.said) reasons.push(`${one.said[0].toUpperCase()}${one.said.slice(1)}.`);
  by("why").replaceChildren(...reasons.map((text) => make("li", {}, text)));
  by("card").dataset.state = one.state;
  by("accept").disabled = ids.length === 0 || clashes(ids) || mustTake();
  by("reject").disabled = ids.length === 0;
  by("undo").disabled = !lastStep() && state.sending.size === 0;
}

// Every picture that bears on the question: both places of a contradiction, the first cells of a column.
function showProof() {
  const room = by("proof").clientWidth || 420;
  const beside = Math.max(1, Math.min(MOST_SHOWN, Math.floor(room / ROOM_EACH)));
  const groups = proofGroups(Math.max(2, beside));
  const across = Math.min(groups.length, beside);
  const pickable = cause?.sort === "values" && scope !== "row" && scope !== "column";
  const texts = groups.map((ids) => state.numbers.get(ids[0]).shown);
  by("proof").replaceChildren(...groups.map((ids, index) => {
    const figure = figureOf(state, picture, ids, (room - 12 * (across - 1)) / across, { "data-id": ids[0], class: ids.includes(chosen) && groups.length > 1 ? "chosen" : undefined });
    if (pickable && groups.length > 1) {
      const button = make("button", { type: "button", class: "take", onclick: () => take(index) }, make("kbd", {}, index + 1), " take ", make("span", {}, ...marked(texts[index], texts.filter((_, at) => at !== index))));
      button.disabled = !state.isOpen(ids[0]);
      figure.append(button);
    }
    return figure;
  }));
  answers.show(scope === "cause" ? cause : null, cause ? state.openOf(cause.number_ids).length : 0);
}

function proofGroups(most = MOST_SHOWN) {
  if (!cause || scope === "row" || scope === "column" || scope === "range") return [[...new Set([chosen])]];
  const groups = new Map(); // page and row → numbers, each printed cell once
  for (const id of cause.number_ids) {
    const { page } = state.numbers.get(id).place;
    const cell = state.cell(id);
    const key = `${page} ${Math.round(cell.top)} ${Math.round(cell.x0)}`;
    if (!groups.has(key)) groups.set(key, new Map());
    groups.get(key).set(Math.round(cell.x0), id);
  }
  return shownFirst([...groups.values()], most).map((cells) => [...cells].sort((a, b) => a[0] - b[0]).map(([, id]) => id));
}

// Of a question that one answer settles one cell of each column, two or three at most, so that the answers stay in sight; of
// several values every place.
function shownFirst(groups, most) {
  if (cause.sort === "values") return groups.slice(0, 6);
  const columns = new Map();
  for (const group of groups) {
    const [id] = group.values();
    const { quantity, kind, condition } = state.numbers.get(id);
    const column = cause.parts.length > 1 ? [quantity, kind, condition].join("\n") : group;
    if (!columns.has(column)) columns.set(column, group);
  }
  const first = [...columns.values()].slice(0, most);
  return [...first, ...groups.filter((one) => !first.includes(one)).slice(0, most - first.length)];
}

function showScope(ids) {
  const names = Object.keys(SCOPES).filter((name) => (name !== "cause" || cause) && (name !== "range" || range.length > 1));
  by("scope").replaceChildren(...names.map((name) => make("option", { value: name }, SCOPES[name])));
  by("scope").value = scope;
  const { agreed, single, disputed, parts } = state.counts(ids);
  const kinds = [[disputed, "disputed"], [single, "read once"], [agreed, "agreed"]].filter(([count]) => count).map(([count, word]) => `${count} ${word}`);
  const clash = clashes(ids) ? " They hold two values of one number: take one of them." : "";
  const bulk = takesInBulk(ids) ? ids.filter((id) => state.numbers.get(id).status === "disputed").length : 0;
  by("accept").firstChild.textContent = ids.length > 1 ? `Accept ${ids.length - bulk} ` : "Accept ";
  by("reject").firstChild.textContent = ids.length > 1 ? `Reject ${ids.length} ` : "Reject ";
  const how = takesInBulk(ids) && !clash ? ` Accepted in bulk${disputed ? `, the ${disputed} disputed left out` : ""}.` : "";
  by("scope-says").textContent = ids.length > 1 ? `${counted(ids.length, "number")} of ${counted(parts, "part")}: ${kinds.join(", ")}.${clash}${how}` : "";
}

function showProgress() {
  const all = state.standing();
  const left = state.openOf(all);
  const open = state.openCauses().length;
  const share = all.length ? 1 - left.length / all.length : 1;
  by("progress-says").textContent = `${open ? `${counted(open, "question")} open` : "no question open"}, ${all.length - left.length} of ${all.length} numbers decided`;
  by("slope").querySelector(".done").style.clipPath = `inset(0 ${(100 - 100 * share).toFixed(1)}% 0 0)`;
}

// ------------------------------------------------------------------ decisions

function told(answer) {
  const news = state.learn(answer);
  for (const one of news) picture.mark(one);
  lists.update(news);
  showProgress();
  if (answer.refused) tell(answer.refused, true);
  if (chosen && !fixing.isOpen) show();
}

// The whole sheet anew, after an answer or a framed table; the next open question is asked.
async function tookOver(review, words) {
  state.open(review);
  showNothing();
  state.borrowBoxes();
  picture.redraw();
  lists.fill();
  lists.update([]);
  showProgress();
  if (words) tell(words);
  cause = state.causes.find((one) => one.cause_id === cause?.cause_id) || null;
  if (cause && state.openOf(cause.number_ids).length) askCause(cause); else nextCause(1);
  state.learnBoxes(await ask(`/api/sheets/${sheet}/boxes`));
  picture.replace();
  show();
}

function refused(error, ids) {
  lists.update([]);
  showProgress();
  if (fixing.isOpen) return;
  tell(error.message, true);
  if (ids.length) pick(ids[0]);
}

function accept() {
  const ids = covered();
  if (mustTake()) { tell("The sheet prints two values: take one of them by its number.", true); return; }
  if (takesInBulk(ids)) { acceptInBulk(ids); return; }
  if (!ids.length || clashes(ids)) { tell("They hold two values of one number: take one of them.", true); return; }
  const because = ids.length > 1 && cause ? `question ${cause.number}: ${cause.title}` : "";
  after(decisions.step("accept", ids, because), ids, "accepted");
  goOn();
}

// A row, a column or a range is taken without a look at each number: in bulk, and never a disputed one.
const clashes = (ids) => ids.length > 1 && !takesInBulk(ids) && state.rivals(ids);
const takesInBulk = (ids) => ids.length > 1 && ["row", "column", "range"].includes(scope);

function acceptInBulk(ids) {
  const taken = ids.filter((id) => state.numbers.get(id).status !== "disputed");
  if (!taken.length) { tell("All of them are disputed: each question needs a decision of its own.", true); return; }
  after(decisions.step("accept_in_bulk", taken, `${SCOPES[scope]} accepted in bulk, not each looked at`), taken, "accepted in bulk");
  goOn();
}

// In a question of several values none is taken by a key that does not say which.
const mustTake = () => cause?.sort === "values" && scope === "number" && !lists.showsNumbers && state.openOf(cause.number_ids).length > 1;

// One of the values that a sheet prints for the same number: the others are rejected with it.
function take(index) {
  const group = proofGroups()[index];
  if (!group) return;
  chosen = group[0];
  after(decisions.step("accept", [chosen], ""), [chosen], "accepted");
  goOn();
}

async function after(sent, ids, word) {
  const answer = await sent;
  if (!answer) return;
  const others = answer.rejected?.length ? `, ${counted(answer.rejected.length, "competing value")} rejected` : "";
  tell(`${counted(ids.length, "number")} ${word}${others}`);
}

// The next question, or the next number where the numbers are walked through; the answer may still be on its way.
function goOn() {
  if (lists.showsNumbers || !state.openCauses().length) { stepOpen(1); return; }
  nextCause(1);
}

function nextCause(by_) {
  const open = state.openCauses();
  if (!open.length) { stepOpen(by_); return; }
  const at = cause ? state.causes.indexOf(cause) : -1;
  const order = state.causes.map((_, index) => state.causes[(at + by_ * (index + 1) + 2 * state.causes.length) % state.causes.length]);
  askCause(order.find((one) => open.includes(one)) || open[0]);
}

function stepOpen(by_) {
  const order = lists.walk();
  const at = order.indexOf(chosen);
  for (let count = 1; count <= order.length; count += 1) {
    const id = order[(at + by_ * count + 2 * order.length) % order.length];
    if (state.isOpen(id)) { pick(id); return; }
  }
  show();
  tell("Nothing is left to decide on this sheet.");
}

function step(by_, several) {
  const order = lists.walk();
  const id = order[order.indexOf(chosen) + by_];
  if (id) pick(id, several);
}

const lastStep = () => state.steps().reverse().find((one) => one.who === who());

// Takes back the last decision of the one who signs: its numbers are undecided again, both steps stay in the history.
async function undo() {
  await decisions.last;
  const last = lastStep();
  if (last) takeBack(last.ids); else tell("There is no decision of yours to undo on this sheet.");
}

async function takeBack(ids) {
  if (state.isLater(ids[0])) { answers.takeBack(ids); return; }
  if (await decisions.undo(ids)) { pick(ids[0]); tell(`Undone: ${counted(ids.length, "number")} undecided again.`); }
}

// Resolves to why it was not kept, so that the form stays open with what was typed.
async function save(kind, said) {
  const ids = kind === "correct" ? [chosen] : covered();
  let why = "";
  decisions.refused = (error) => { why = error.message; refused(error, []); };
  const answer = await (kind === "correct" ? decisions.correct(chosen, said) : decisions.step("reject", ids, said.reason));
  decisions.refused = refused;
  if (!answer) return why || "not kept";
  tell(`${counted(ids.length, "number")} ${kind === "correct" ? "corrected" : "rejected"}`);
  setTimeout(goOn);
  return "";
}

const fix = (kind) => fixing.open(kind, state.numbers.get(chosen), kind === "correct" ? 1 : covered().length);

function acceptPart() {
  const { part_number } = state.numbers.get(chosen);
  const ids = [...state.numbers.values()].filter((one) => one.part_number === part_number && one.status === "agreed" && state.isOpen(one.number_id)).map((one) => one.number_id);
  if (!ids.length) { tell("No agreed number of this part is left to accept."); return; }
  after(decisions.step("accept_in_bulk", ids, `agreed numbers of ${part_number} accepted in bulk`), ids, "accepted in bulk");
}

function askBulk() {
  const all = state.standing();
  const { agreed, single, disputed } = state.counts(all);
  const seen = state.openOf(all).filter((id) => state.numbers.get(id).recognised && state.numbers.get(id).status === "agreed").length;
  by("bulk-agreed").nextElementSibling.textContent = `${counted(agreed, "number")} that two readings agree on${seen ? `, ${seen} of them recognised from a picture` : ""}`;
  by("bulk-single").nextElementSibling.textContent = `${counted(single, "number")} read only once: nothing independent confirms them`;
  by("bulk-single").disabled = single === 0;
  by("bulk-single").checked = false;
  by("bulk-disputed").textContent = `${counted(disputed, "disputed number")} left out: each needs a decision of its own`;
  by("in-bulk").showModal();
}

by("in-bulk").addEventListener("close", () => {
  if (by("in-bulk").returnValue !== "yes") return;
  const taken = new Set([by("bulk-agreed").checked && "agreed", by("bulk-single").checked && "single"]);
  const ids = [...state.numbers.values()].filter((one) => taken.has(one.status) && state.isOpen(one.number_id)).map((one) => one.number_id);
  if (ids.length) after(decisions.step("accept_in_bulk", ids, "accepted in bulk, not each looked at"), ids, "accepted in bulk");
});

function setScope(name) {
  scope = name;
  show();
}

function cycleScope() {
  const names = [...by("scope").options].map((option) => option.value);
  setScope(names[(names.indexOf(scope) + 1) % names.length]);
}

const digit = (event) => (cause?.sort === "values" ? take(Number(event.key) - 1) : scope === "cause" && cause && state.openOf(cause.number_ids).length && answers.give(cause, Number(event.key) - 1));

const onNumber = (run) => (event) => (chosen ? run(event) : tell("Nothing was read from this sheet yet: frame a table."));

listen({
  a: onNumber(accept), c: onNumber(() => fix("correct")), r: onNumber(() => fix("reject")), u: onNumber(undo), p: onNumber(acceptPart), b: onNumber(askBulk), s: onNumber(cycleScope), digit: onNumber(digit),
  n: onNumber(() => (lists.showsNumbers ? stepOpen(1) : nextCause(1))), N: onNumber(() => (lists.showsNumbers ? stepOpen(-1) : nextCause(-1))),
  j: () => step(1), k: () => step(-1), J: () => step(1, true), K: () => step(-1, true),
  ArrowDown: (event) => step(1, event.shiftKey), ArrowUp: (event) => step(-1, event.shiftKey),
  "+": () => picture.zoom(1.25), "-": () => picture.zoom(1 / 1.25), 0: () => picture.fitTo("width"),
  f: () => (framing.isOn ? framing.stop() : framing.start()),
  "?": () => by("help").showModal(), Escape: () => { if (framing.isOn) { framing.stop(); return; } range = []; if (chosen) pick(chosen); },
});
for (const [id, what] of Object.entries({ accept, correct: () => fix("correct"), reject: () => fix("reject"), undo, next: () => goOn(), "accept-part": acceptPart, bulk: onNumber(askBulk), "keys-help": () => by("help").showModal() })) {
  by(id).addEventListener("click", what);
}
by("scope").addEventListener("change", (event) => setScope(event.target.value));
let narrow = 0;
new ResizeObserver(() => { const now = by("proof").clientWidth; if (chosen && Math.abs(now - narrow) > 20) { narrow = now; showProof(); } }).observe(by("proof"));
start().catch((error) => tell(error.message, true));
