// The drawn curves of a datasheet: each laid over its chart in place, accepted, rejected or given to another part.
import { ask, send } from "./asking.js";
import { Calibrating } from "./calibrating.js";
import { by, make, shown, tell } from "./making.js";
import { who } from "./signature.js";

const UNITS = { time_to_trip: "A" };

export class Drawn {
  // opened() shows the list of curves.
  constructor(sheet, picture, parts, opened) {
    Object.assign(this, { sheet, picture, opened, curves: [], chosen: null });
    this.box = by("drawn");
    this.which = make("select", { id: "drawn-which", onchange: () => this.choose(Number(this.which.value)) });
    this.says = make("p", { id: "drawn-says", role: "status" });
    this.part = make("select", { id: "drawn-part" }, ...parts.map((one) => make("option", { value: one }, one)));
    this.reason = make("input", { id: "drawn-reason", maxlength: 500, autocomplete: "off", placeholder: "what the page, the maker or the bench says" });
    this.calibrating = new Calibrating(sheet, picture, (curves) => this.take(curves));
    new MutationObserver(() => this.lay()).observe(by("sight"), { childList: true });
  }

  async open() {
    this.take(await ask(`/api/sheets/${this.sheet}/curves`));
  }

  take(curves) {
    this.curves = curves;
    by("tab-curves").hidden = !this.picture.pages.size;
    by("tab-curves").querySelector("span").textContent = curves.length;
    if (!curves.length) { this.box.replaceChildren(this.calibrating.box); return; }
    const button = (words, action) => make("button", { type: "button", "data-action": action, onclick: () => this.decide(action) }, words);
    this.box.replaceChildren(
      make("p", { class: "hint" }, "A click on a curve of the page takes it. Typical curves are no limits: still air, the maker's board, the ambient of the chart."),
      make("p", {}, make("label", { for: "drawn-which" }, "Curve "), this.which), this.says,
      make("p", {}, make("label", { for: "drawn-reason" }, "Why "), this.reason),
      make("p", { class: "actions" }, button("Accept curve", "accept"), button("Reject curve", "reject"), button("Take back", "reopen")),
      make("p", {}, make("label", { for: "drawn-part" }, "Its label names "), this.part, " ", button("Give it to this part", "label")), this.calibrating.box);
    this.choose(this.curves[0].curve_id, false);
  }

  // The curves of the page shown, as lines over its picture that keep their width at every size.
  lay() {
    if (!this.picture.drawing || !this.curves.length) return;
    const { width, height } = this.picture.pages.get(this.picture.page);
    const own = this.curves.filter((one) => one.page === this.picture.page && one.line.length > 1);
    const lines = own.flatMap((one) => {
      const points = one.line.map(([x, y]) => `${x},${y}`).join(" ");
      const title = make("svg:title", {}, this.words(one));
      return [make("svg:polyline", { class: "seen", points, "data-state": one.state, "data-chosen": String(one.curve_id === this.chosen) }),
        make("svg:polyline", { class: "taken", points, "data-id": one.curve_id, onclick: () => { if (!this.picture.dragged) { this.opened(); this.choose(one.curve_id); } } }, title)];
    });
    this.picture.drawing.querySelector(".drawn-lines")?.remove();
    if (lines.length) this.picture.drawing.append(make("svg:svg", { class: "drawn-lines", viewBox: `0 0 ${width} ${height}`, preserveAspectRatio: "none" }, ...lines));
  }

  words(one) {
    const unit = UNITS[one.chart] || "°C";
    const [from, to] = one.ends.map((end) => Number(end.toPrecision(3)));
    const by_ = one.decided_by ? ` by ${shown(one.decided_by)}` : "";
    return `${shown(one.part_number)}: ${one.chart.replaceAll("_", " ")}, ${from} to ${to} ${unit}, page ${one.page}, label “${shown(one.label)}”, ${one.state.replaceAll("_", " ")}${by_}`;
  }

  choose(id, turn = true) {
    const one = this.curves.find((other) => other.curve_id === id);
    this.chosen = id;
    this.which.replaceChildren(...this.curves.map((other) => make("option", { value: other.curve_id, selected: other.curve_id === id }, `${shown(other.part_number)} (page ${other.page}, ${other.state.replaceAll("_", " ")})`)));
    this.says.textContent = [this.words(one), ...one.notes.map(shown)].join(". ");
    this.part.value = one.part_number;
    if (turn) this.turnTo(one);
    this.lay();
  }

  turnTo({ page, place }) {
    this.picture.show(page);
    const { sight, scale, drawing } = this.picture;
    if (drawing) sight.scrollTo({ left: place.x0 * scale - 40, top: place.top * scale - 40 });
  }

  async decide(action) {
    const sent = { curve_id: this.chosen, action, part_number: action === "label" ? this.part.value : "", reason: this.reason.value, who: who() };
    try {
      const told = await send(`/api/sheets/${this.sheet}/curves`, sent);
      this.curves = this.curves.map((one) => (one.curve_id === told.curve_id ? told : one));
      this.reason.value = "";
      this.choose(told.curve_id);
      tell(`Curve: ${this.words(told)}`);
    } catch (error) {
      tell(error.message, true);
    }
  }
}
