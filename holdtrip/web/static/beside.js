// Parts side by side: their courses in one plot, their margins as bars, the tightest of each marked.
import { ask, query } from "./asking.js";
import { by, make, shown, state } from "./making.js";
import { bar, drawDerating, drawTimes, LOOKS, sample } from "./plots.js";

const same = (one, other) => one.part_number === other.part_number && one.sha256 === other.sha256;
export const times = (margin) => (margin === null || margin === undefined ? "" : `${Number(margin.toPrecision(3))} ×`);

export class Beside {
  // titles() names the margins, asked() is the query of the requirement, changed() tells that a tick has changed.
  constructor(titles, asked, changed) {
    Object.assign(this, { titles, asked, changed, parts: [], curves: new Map(), turn: 0 });
    let width = 0;
    new ResizeObserver(() => { const now = by("derating-plot").clientWidth; if (Math.abs(now - width) > 8) { width = now; this.draw(); } }).observe(by("derating-plot"));
  }

  has(one) { return this.parts.some((part) => same(part, one)); }

  // Ticks or unticks a part; with six ticked the oldest gives way.
  toggle(one) {
    if (this.has(one)) this.parts = this.parts.filter((part) => !same(part, one));
    else this.parts = [...this.parts, one].slice(-LOOKS);
    this.changed();
    this.show();
  }

  // Takes over new answers for the parts ticked, from a ranking or for one part.
  learn(candidates) {
    this.parts = this.parts.map((part) => candidates.find((one) => same(one, part)) || part);
  }

  async show() {
    by("beside").hidden = this.parts.length === 0;
    if (!this.parts.length) return;
    this.showBars();
    by("key").replaceChildren(...this.parts.map((one, look) => make("li", {}, sample(look), ` ${shown(one.part_number)} `,
      make("button", { type: "button", "aria-label": `Leave out ${shown(one.part_number)}`, onclick: () => this.toggle(one) }, "×"))),
      make("li", { class: "hint" }, "solid: hold; dashed: trip; hollow marks are computed, lines between marks interpolated"));
    const mine = ++this.turn;
    const asked = this.asked();
    this.showTraits(asked, mine);
    const found = await Promise.all(this.parts.map((one) => ask(`/api/ranking/curves?${asked}&${query({ part: one.part_number, sheet: one.sha256 })}`).catch(() => null)));
    if (mine !== this.turn) return;
    this.found = found.filter(Boolean);
    this.draw();
  }

  // Two to six parts as columns, the better value of each row marked by a sign as well as by weight.
  async showTraits(asked, mine) {
    if (this.parts.length < 2) { by("traits-place").hidden = true; return; }
    const chosen = this.parts.map((one) => query({ part: one.part_number, sheet: one.sha256 })).join("&");
    const found = await ask(`/api/ranking/table?${asked}&${chosen}`).catch(() => null);
    if (mine !== this.turn) return;
    by("traits-place").hidden = !found;
    if (!found) return;
    by("traits").tHead.replaceChildren(make("tr", {}, make("th", { scope: "col" }, "Trait"), make("th", { scope: "col" }, "Asked"), ...this.parts.map((one, look) => make("th", { scope: "col" }, sample(look), ` ${shown(one.part_number)}`))));
    by("traits").tBodies[0].replaceChildren(...found.lines.map((line) => make("tr", {}, make("th", { scope: "row" }, line.title), make("td", {}, line.asked),
      ...line.values.map((text, column) => make("td", { class: line.best.includes(column) ? "num better" : "num" }, text || make("span", { class: "hint" }, "not said"), line.best.includes(column) ? make("span", { class: "away" }, " the better") : "")))));
    by("traits-assumed").replaceChildren(...found.assumed.map((text) => make("li", {}, `assumed: ${text}`)));
  }

  draw() {
    if (!this.found?.length || by("beside").hidden) return;
    drawDerating(by("derating-plot"), this.found);
    drawTimes(by("time-plot"), this.found);
  }

  showBars() {
    const names = [...new Set(this.parts.flatMap((one) => one.margins.map((margin) => margin.name)))];
    by("bars").style.minWidth = `${11 + 8.1 * this.parts.length}rem`; // a word of each verdict whole
    by("bars").tHead.replaceChildren(make("tr", {}, make("th", { scope: "col" }, "Margin"), ...this.parts.map((one, look) => make("th", { scope: "col" }, sample(look), ` ${shown(one.part_number)}`))));
    const tightest = this.parts.map((one) => one.margins.filter((margin) => margin.margin !== null).sort((a, b) => a.margin - b.margin)[0]);
    by("bars").tBodies[0].replaceChildren(
      make("tr", {}, make("th", { scope: "row" }, "Verdict"), ...this.parts.map((one) => make("td", { "data-state": one.verdict }, state(one.verdict)))),
      ...names.map((name) => make("tr", {}, make("th", { scope: "row" }, this.titles()[name] || name),
        ...this.parts.map((one, look) => this.marginToCell(one.margins.filter((margin) => margin.name === name).sort((a, b) => (a.margin ?? 0) - (b.margin ?? 0))[0], look, tightest[look])))));
  }

  marginToCell(margin, look, tightest) {
    if (!margin) return make("td", { class: "hint" }, "not asked");
    const is = margin === tightest;
    const words = margin.margin === null ? state(margin.verdict) : make("span", { class: "state" }, times(margin.margin));
    return make("td", { "data-state": margin.verdict, class: is ? "tightest" : undefined }, words, is ? make("span", { class: "tight" }, "tightest") : "", margin.margin === null ? "" : bar(margin.margin, look));
  }
}
