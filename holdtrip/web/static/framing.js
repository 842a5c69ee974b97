// The last mile: a table that was not understood is framed by mouse, its columns are named, and it is read.
import { send } from "./asking.js";
import { by, counted, make, shown, tell } from "./making.js";
import { who } from "./signature.js";

const LEAST_PX = 24;

export class Framing {
  // took(review, words) takes over the sheet as it stands after a table was read.
  constructor(sheet, picture, took) {
    Object.assign(this, { sheet, picture, took, frame: null, sight: by("sight") });
    by("frame").addEventListener("click", () => (this.isOn ? this.stop() : this.start()));
    by("frame-no").addEventListener("click", () => this.stop());
    by("framed").addEventListener("submit", (event) => { event.preventDefault(); this.read(); });
    by("framed").addEventListener("keydown", (event) => { if (event.key === "Escape") { event.stopPropagation(); this.stop(); } });
    by("framed-turned").addEventListener("change", () => { this.frame.turned = by("framed-turned").value === "beside"; this.look(); });
    by("framed-part").addEventListener("change", () => { if (by("framed-part").value) this.nameNone(null); });
    this.sight.addEventListener("pointerdown", (event) => this.draw(event));
  }

  get isOn() { return this.sight.classList.contains("framing"); }

  start() {
    this.sight.classList.add("framing");
    by("frame").setAttribute("aria-pressed", "true");
    tell("Draw a frame around the table, its heading included. Esc gives it up.");
  }

  stop() {
    this.sight.classList.remove("framing");
    by("frame").setAttribute("aria-pressed", "false");
    by("framed").hidden = true;
    by("card").hidden = false;
    this.shape?.remove();
    this.frame = this.shape = null;
  }

  // Where on the page, in points, the mouse is.
  at(event) {
    const box = this.picture.drawing.getBoundingClientRect();
    return { x: (event.clientX - box.left) / this.picture.scale, y: (event.clientY - box.top) / this.picture.scale };
  }

  draw(event) {
    if (!this.isOn || event.button !== 0 || event.target.closest(".frame-edge")) return;
    event.preventDefault();
    const from = this.at(event);
    this.shape?.remove();
    this.shape = make("div", { class: "frame-box" });
    this.picture.drawing.append(this.shape);
    follow((moved) => {
      const to = this.at(moved);
      this.frame = { page: this.picture.page, x0: Math.min(from.x, to.x), top: Math.min(from.y, to.y), x1: Math.max(from.x, to.x), bottom: Math.max(from.y, to.y) };
      this.picture.put(this.shape, this.frame);
    }, () => this.look());
  }

  // Asks how the model would take the frame; a person then corrects it.
  async look() {
    const { frame } = this;
    if (!frame || (frame.x1 - frame.x0) * this.picture.scale < LEAST_PX) { this.shape?.remove(); return; }
    this.shape.classList.add("waits");
    try {
      const { page, x0, top, x1, bottom, turned } = frame;
      const found = await send(`/api/sheets/${this.sheet}/frames/proposal`, { page, x0, top, x1, bottom, turned });
      if (this.frame !== frame) return;
      Object.assign(frame, { heading_bottom: found.heading_bottom, columns: found.columns, turned: found.turned });
      by("framed-turned").value = found.turned ? "beside" : "below";
      by("framed-part").replaceChildren(make("option", { value: "" }, "in the table"), ...found.names.map((one) => make("option", { value: one }, one)));
      this.meanings = new Map(found.meanings.map((one) => [one.value, one]));
      this.ambient = found.ambient_c;
      this.show();
    } catch (error) { tell(error.message, true); this.shape?.remove(); this.frame = null; }
  }

  show() {
    by("card").hidden = true;
    by("framed").hidden = false;
    by("framed-says").replaceChildren();
    by("framed-columns").tBodies[0].replaceChildren(...this.frame.columns.map((column, index) => this.columnToRow(column, index)));
    this.shape.classList.remove("waits");
    this.place();
    by("framed-columns").querySelector("select")?.focus();
  }

  // No line names the parts any more but one; a part chosen from the page gives way to a line that does.
  nameNone(but) {
    for (const other of by("framed-columns").querySelectorAll("tbody select:first-child")) if (other !== but && other.value === "part") { other.value = "left_out"; other.dispatchEvent(new Event("change")); }
  }

  columnToRow(column, index) {
    const name = `${this.frame.turned ? "row" : "column"} ${index + 1}`;
    const meaning = make("select", { "aria-label": `${name[0].toUpperCase()}${name.slice(1)} holds` }, ...[...this.meanings.values()].map((one) => make("option", { value: one.value }, one.words)));
    const unit = make("select", { "aria-label": `Unit of ${name}` });
    const at = make("input", { inputmode: "decimal", size: 4, maxlength: 12, autocomplete: "off" });
    const mean = (first) => {
      const known = this.meanings.get(meaning.value);
      unit.replaceChildren(...known.units.map((one) => make("option", { value: one }, UNITS[one] || one)));
      unit.hidden = known.units.length === 0;
      if (first && column.unit) unit.value = column.unit;
      at.hidden = !known.at;
      at.setAttribute("aria-label", known.at === "current" ? `Test current of ${name}, A` : `Ambient of ${name}, °C`);
      at.placeholder = known.at === "current" ? "A" : "°C";
      at.value = known.at === "ambient" ? (column.ambient_c ?? this.ambient ?? "") : known.at === "current" ? (column.test_current_a ?? "") : "";
      this.place();
    };
    meaning.value = column.meaning;
    meaning.addEventListener("change", () => {
      if (meaning.value === "part") { by("framed-part").value = ""; this.nameNone(meaning); }
      mean(false);
    });
    const row = make("tr", {}, make("td", { class: "num" }, index + 1), make("th", { scope: "row" }, column.heading || "no heading"), make("td", {}, meaning), make("td", {}, unit, " ", at));
    Object.assign(column, { says: () => ({ meaning: meaning.value, unit: unit.hidden ? "" : unit.value, ambient_c: at.placeholder === "°C" && !at.hidden && at.value.trim() ? number(at.value) : null, test_current_a: at.placeholder === "A" && !at.hidden && at.value.trim() ? number(at.value) : null }) });
    mean(true);
    return row;
  }

  // The frame on the page: its heading shaded, a line between columns, what each holds above it.
  place() {
    const { frame } = this;
    if (!frame?.columns || !this.shape) return;
    const inside = (element, box) => {
      Object.assign(element.style, { left: `${(100 * (box.x0 - frame.x0)) / (frame.x1 - frame.x0)}%`, top: `${(100 * (box.top - frame.top)) / (frame.bottom - frame.top)}%`, width: `${(100 * (box.x1 - box.x0)) / (frame.x1 - frame.x0)}%`, height: `${(100 * (box.bottom - box.top)) / (frame.bottom - frame.top)}%` });
      return element;
    };
    const whole = { x0: frame.x0, x1: frame.x1, top: frame.top, bottom: frame.bottom };
    // Of a turned frame the lines are rows: what is said of x holds of y, and the other way round.
    const { turned } = frame;
    const band = (from, to) => ({ ...whole, ...(turned ? { top: from, bottom: to } : { x0: from, x1: to }) });
    const across = (from, to) => ({ ...whole, ...(turned ? { x0: from, x1: to } : { top: from, bottom: to }) });
    const along = (at) => (turned ? at.y : at.x);
    const [level, upright] = turned ? ["upright", "level"] : ["level", "upright"];
    this.shape.replaceChildren(
      inside(make("div", { class: "frame-heading" }), across(turned ? frame.x0 : frame.top, frame.heading_bottom)),
      ...frame.columns.map((column) => {
        const said = column.says ? column.says().meaning : column.meaning;
        return inside(make("div", { class: `frame-column${turned ? " turned" : ""}`, "data-meaning": said === "part" || said === "left_out" ? said : "value" }, make("span", {}, this.meanings.get(said)?.words || "")), band(column.x0, column.x1));
      }),
      inside(make("div", { class: `frame-edge ${level}`, title: "The heading ends here: drag it", onpointerdown: (event) => this.pull(event, (at) => { frame.heading_bottom = turned ? clamp(at.x, frame.x0, frame.x1) : clamp(at.y, frame.top, frame.bottom); }) }), across(frame.heading_bottom - 0.6, frame.heading_bottom + 0.6)),
      ...frame.columns.slice(1).map((column, index) => inside(make("div", { class: `frame-edge ${upright}`, title: "Columns or rows part here: drag it", onpointerdown: (event) => this.pull(event, (at) => {
        const before = frame.columns[index];
        before.x1 = column.x0 = clamp(along(at), before.x0 + 2, column.x1 - 2);
      }) }), band(column.x0 - 0.6, column.x0 + 0.6))));
  }

  pull(event, set) {
    event.preventDefault();
    event.stopPropagation();
    follow((moved) => { set(this.at(moved)); this.place(); }, () => {});
  }

  async read() {
    const { frame } = this;
    const columns = frame.columns.map((column) => ({ x0: column.x0, x1: column.x1, heading: column.heading, ...column.says() }));
    const wrong = columns.find((column) => Number.isNaN(column.ambient_c) || Number.isNaN(column.test_current_a));
    if (wrong) { by("framed-says").replaceChildren(make("p", { class: "refused" }, "An ambient or a test current is no number.")); return; }
    by("framed-yes").disabled = true;
    try {
      const { page, x0, top, x1, bottom, heading_bottom, turned } = frame;
      const part = by("framed-part").value;
      const found = await send(`/api/sheets/${this.sheet}/frames`, { page, x0, top, x1, bottom, heading_bottom, turned, part, columns, who: who() });
      this.stop();
      const lost = found.not_read.length ? ` Not read: ${found.not_read.slice(0, 3).join("; ")}${found.not_read.length > 3 ? ` and ${found.not_read.length - 3} more` : ""}.` : "";
      this.took(found.review, shown(`${counted(found.came, "number")} read from the frame, ${found.disputed} disputed.${lost}`));
    } catch (error) {
      by("framed-says").replaceChildren(make("p", { class: "refused" }, error.message));
    } finally { by("framed-yes").disabled = false; }
  }
}

const UNITS = { ohm: "Ω", mohm: "mΩ" };
const number = (text) => Number(text.trim().replace(",", "."));
const clamp = (value, low, high) => Math.min(high, Math.max(low, value));

function follow(moved, ended) {
  const end = () => { removeEventListener("pointermove", moved); removeEventListener("pointerup", end); removeEventListener("pointercancel", end); ended(); };
  addEventListener("pointermove", moved);
  addEventListener("pointerup", end);
  addEventListener("pointercancel", end);
}
