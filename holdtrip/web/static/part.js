// One part: its numbers with their places, its plot, its revisions and its history.
import { ask, query } from "./asking.js";
import { by, make, shown, state, tell, time, value } from "./making.js";
import { drawDerating, drawTimes } from "./plots.js";

const asked = Object.fromEntries(new URLSearchParams(location.search));

async function show() {
  const one = await ask(`/api/parts/one?${query({ number: asked.number, sheet: asked.sheet })}`);
  const { part } = one;
  document.title = `${shown(part.part_number)} · holdtrip`;
  by("title").textContent = shown(part.part_number);
  by("facts").replaceChildren(
    `${part.state}${part.live ? "" : ", not in force: a newer revision lists it"}; ${part.undecided} numbers to decide, ${part.disputed} disputed; `,
    make("a", { href: `/review?sheet=${part.sha256}` }, `review ${shown(part.document)}`));
  by("texts").replaceChildren(...lines(one.texts, (text) => `${text.name}: ${text.text} (page ${text.place.page})`));
  by("others").replaceChildren(...(one.others.length ? one.others.map((other) => make("li", {},
    make("a", { href: `/part?${query({ number: other.part_number, sheet: other.sha256 })}` }, `${other.document} ${other.revision}`),
    other.live ? "" : " (not in force)")) : [make("li", {}, "none")]));
  drawWhenever(ask(`/api/parts/curves?${query({ number: part.part_number, sheet: part.sha256 })}`));
  by("numbers").tBodies[0].replaceChildren(...one.numbers.map((number) => numberToRow(number, part)));
  by("revisions").replaceChildren(...lines(one.revisions, (change) => `${change.document} ${change.revision}: ${change.what} from ${change.before} to ${change.after}`));
  by("events").replaceChildren(...lines(one.events, (event) =>
    `${time(event.at)} UTC, ${event.who}: ${event.action} ${event.subject}${event.reason ? `. ${event.reason}` : ""}`));
}

// Drawn anew at every width, so that letters stay as large as they are.
async function drawWhenever(coming) {
  const found = await coming.catch(() => ({ hold: [], trip: [], times: [], drawn: [] })); // not in force: nothing to draw
  const draw = () => { drawDerating(by("derating-plot"), [found]); drawTimes(by("time-plot"), [found]); };
  let width = 0;
  new ResizeObserver(() => { const now = by("derating-plot").clientWidth; if (Math.abs(now - width) > 8) { width = now; draw(); } }).observe(by("derating-plot"));
}

function lines(list, words) {
  return list.length ? list.map((one) => make("li", {}, words(one))) : [make("li", {}, "none")];
}

// Notes after each other: a sentence has its full stop already.
const sentences = (notes) => notes.filter(Boolean).map((one) => one.trim()).reduce((all, one) => (all ? `${all}${/[.!?]$/.test(all) ? "" : ";"} ${one}` : one), "");

function numberToRow(one, part) {
  const place = one.place.page
    ? make("a", { href: `/review?sheet=${part.sha256}#n${one.number_id}` }, `page ${one.place.page}`) : "";
  return make("tr", { "data-state": one.state },
    make("td", {}, [one.quantity, one.kind].filter(Boolean).join(" "), one.part_number === "*" ? " (whole series)" : ""),
    make("td", {}, one.condition), make("td", { class: "num" }, ...value(one)), make("td", { class: "raw" }, one.raw),
    make("td", {}, state(one.state)), make("td", { class: "num" }, place), make("td", {}, sentences([...one.notes, one.said])));
}

show().catch((error) => tell(error.message, true));
