// The lists under the question: questions, numbers, decisions, what reading noticed.
import { by, counted, make, shown, state as stateWord, time, value } from "./making.js";
import { DECIDED, meaning, partName } from "./review_state.js";

const WORDS = { accepted_in_bulk: "in bulk" };
const PORTION = 250;
const capital = (text) => text[0].toUpperCase() + text.slice(1);

export class Lists {
  constructor(state, { onnumber, oncause, onundo, onhover, onopen }) {
    Object.assign(this, { state, onnumber, oncause, onundo, onhover, onopen, rows: new Map(), items: new Map() });
    const tabs = [...document.querySelectorAll("[role=tab]")];
    for (const tab of tabs) {
      tab.addEventListener("click", () => this.open(tab));
      tab.addEventListener("keydown", (event) => {
        const step = { ArrowRight: 1, ArrowLeft: -1 }[event.key];
        if (!step) return;
        event.stopPropagation();
        const there = tabs.filter((one) => !one.hidden);
        const next = there[(there.indexOf(tab) + step + there.length) % there.length];
        this.open(next);
        next.focus();
      });
    }
    const body = by("numbers").tBodies[0];
    body.addEventListener("click", (event) => { const row = event.target.closest("tr"); if (row) this.onnumber(Number(row.dataset.id), event.shiftKey); });
    for (const name of ["mouseover", "mouseout"]) body.addEventListener(name, (event) => { const row = event.target.closest("tr"); if (row) this.onhover(Number(row.dataset.id), name === "mouseover"); });
    by("todo-only").addEventListener("change", () => this.filter());
  }

  open(tab) {
    for (const other of document.querySelectorAll("[role=tab]")) {
      const is = other === tab;
      other.setAttribute("aria-selected", String(is));
      other.tabIndex = is ? 0 : -1;
      by(other.getAttribute("aria-controls")).hidden = !is;
    }
    if (this.chosen) this.showRow(this.rows.get(this.chosen));
    this.onopen();
  }

  get showsNumbers() { return !by("all").hidden; }

  // The first rows at once, the others in portions, so that a long sheet is seen soon.
  fill() {
    this.order = [...this.state.numbers.keys()];
    this.rows.clear();
    this.items.clear();
    by("numbers").tBodies[0].replaceChildren();
    by("questions").firstElementChild.replaceChildren(...this.state.causes.map((cause) => this.causeToItem(cause)));
    if (!this.state.causes.length && !by("questions").querySelector(".hint")) by("questions").prepend(make("p", { class: "hint" }, "Nothing on this sheet is disputed. Compare a few numbers with the page, then accept the agreed ones in bulk."));
    this.append(0);
  }

  append(from) {
    const to = from + (from ? PORTION : 40);
    by("numbers").tBodies[0].append(...this.order.slice(from, to).map((id) => this.rowOf(id)));
    if (to < this.order.length) (window.requestIdleCallback || setTimeout)(() => this.append(to));
    else this.filter();
  }

  rowOf(id) {
    if (!this.rows.has(id)) {
      this.rows.set(id, make("tr", { id: `n${id}`, "data-id": id }));
      this.fillRow(id);
    }
    return this.rows.get(id);
  }

  fillRow(id) {
    const [row, one] = [this.rows.get(id), this.state.numbers.get(id)];
    row.dataset.state = one.state;
    const pick = make("button", { type: "button", class: "pick", tabindex: -1 }, partName(one));
    const printed = Number(one.raw) === Number.parseFloat(one.shown) ? "" : make("span", { class: "raw" }, `“${one.raw}”`);
    row.replaceChildren(
      make("td", {}, stateWord(WORDS[one.state] || one.state)),
      make("td", {}, pick, make("span", { class: "meaning" }, meaning(one), one.recognised ? " · from a picture" : ""), one.said && DECIDED.has(one.state) ? make("span", { class: "said" }, one.said) : ""),
      make("td", { class: "num" }, ...value(one), printed), make("td", { class: "num" }, one.place.page || ""));
  }

  causeToItem(cause) {
    const button = make("button", { type: "button", class: "question" });
    button.addEventListener("click", () => this.oncause(cause));
    const item = make("li", {}, button);
    this.items.set(cause.cause_id, item);
    return item;
  }

  fillCause(cause) {
    const left = cause.number_ids.filter((id) => this.state.isOpen(id)).length;
    const item = this.items.get(cause.cause_id);
    item.dataset.open = String(left > 0);
    item.firstElementChild.replaceChildren(
      make("span", { class: "tick", "aria-hidden": "true" }, left ? "?" : "✓"),
      make("span", { class: "asks" }, make("strong", {}, cause.sort === "values" ? cause.title : capital(cause.about)), make("span", { class: "about" }, cause.sort === "values" ? cause.about : cause.title)),
      make("span", { class: "left" }, left ? counted(left, "number") : "decided", make("span", {}, `page ${cause.pages.join(", ")}`)));
  }

  // Everything that follows from decisions: rows told, questions, steps, counts on the tabs.
  update(told) {
    for (const one of told) if (this.rows.has(one.number_id)) this.fillRow(one.number_id);
    for (const cause of this.state.causes) this.fillCause(cause);
    const steps = this.state.steps().reverse();
    by("steps").firstElementChild.replaceChildren(...(steps.length ? steps.slice(0, 200).map((step) => this.stepToItem(step)) : [make("li", { class: "hint" }, "Nothing has been decided on this sheet yet.")]));
    const open = this.state.openCauses().length;
    this.count("questions", open ? `${open} open` : "done");
    this.count("numbers", this.state.standing().length);
    this.count("steps", steps.length);
    this.filter();
  }

  count(tab, text) { by(`tab-${tab}`).querySelector("span").textContent = text; }

  stepToItem(step) {
    const one = this.state.numbers.get(step.ids[0]);
    const states = step.word || [...new Set(step.ids.map((id) => this.state.numbers.get(id).state))].map((word) => WORDS[word] ? "accepted in bulk" : word).join(", ");
    const what = step.ids.length === 1 ? `${partName(one)} ${meaning(one)}, ${one.corrected || one.shown}` : `${counted(step.ids.length, "number")}, ${partName(one)} ${meaning(one)} and so on`;
    return make("li", {}, make("span", {}, make("strong", {}, states), ` ${shown(what)}`, make("span", { class: "said" }, `${step.who}, ${time(step.at)} UTC${step.because ? `: ${step.because}` : ""}`)),
      make("button", { type: "button", onclick: () => this.onnumber(step.ids[0]) }, "Show"),
      make("button", { type: "button", onclick: () => this.onundo(step.ids) }, "Take back"));
  }

  showFindings(findings) {
    this.count("findings", findings.length);
    by("findings").firstElementChild.replaceChildren(...(findings.length ? findings.map((one) =>
      make("li", { "data-state": one.severity }, stateWord(one.severity), ` ${shown(one.part_number)} ${shown(one.message)}`)) : [make("li", { class: "hint" }, "Nothing.")]));
  }

  filter() {
    const only = by("todo-only").checked;
    for (const [id, row] of this.rows) row.hidden = id !== this.chosen && (this.state.isGone(id) || (only && !this.state.isOpen(id)));
  }

  choose(id, covered, cause) {
    if (this.chosen && this.rows.has(this.chosen)) this.mark(this.chosen, false);
    this.chosen = id;
    this.rowOf(id);
    this.mark(id, true);
    for (const row of document.querySelectorAll("tr.covered")) row.classList.remove("covered");
    if (covered.length > 1) for (const other of covered) this.rows.get(other)?.classList.add("covered");
    this.showRow(this.rows.get(id));
    for (const [number, item] of this.items) {
      if (cause?.cause_id === number) { item.firstElementChild.setAttribute("aria-current", "true"); this.showRow(item); } else item.firstElementChild.removeAttribute("aria-current");
    }
  }

  mark(id, is) {
    const row = this.rows.get(id);
    if (is) row.setAttribute("aria-current", "true"); else row.removeAttribute("aria-current");
    row.querySelector(".pick").tabIndex = is ? 0 : -1;
  }

  hover(id, is) {
    const row = this.rows.get(id);
    row?.classList.toggle("hover", is);
    if (is && row?.isConnected) this.showRow(row);
  }

  // Scrolls the list only, so that the page stays where the reader put it.
  showRow(row) {
    const list = row?.closest("[role=tabpanel]");
    if (!list || list.hidden) return;
    const head = by("numbers").tHead.offsetHeight;
    const [inner, outer] = [row.getBoundingClientRect(), list.getBoundingClientRect()];
    if (inner.top - head < outer.top) list.scrollTop -= outer.top - inner.top + head;
    else if (inner.bottom > outer.bottom) list.scrollTop += inner.bottom - outer.bottom;
  }

  // The rows that can be walked through, in the order shown.
  walk() {
    return this.order.filter((id) => id === this.chosen || !this.rowOf(id).hidden);
  }
}
