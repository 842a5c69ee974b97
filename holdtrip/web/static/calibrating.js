// The scale of a chart that is a picture: two marks on each axis, by a click on the page or typed.
import { send } from "./asking.js";
import { by, make, tell } from "./making.js";
import { who } from "./signature.js";

const MARKS = [["x", 1], ["x", 2], ["y", 1], ["y", 2]];
const SCALES = { usual: "as usual in such a chart", log: "logarithmic", even: "even" };
const CHARTS = { time_to_trip: "time to trip: current in A, time in s", hold_ratio: "hold current over ambient: °C, %", trip_ratio: "trip current over ambient: °C, %" };

export class Calibrating {
  // took(curves) takes over the curves of the sheet after a picture was read.
  constructor(sheet, picture, took) {
    Object.assign(this, { sheet, picture, took, next: null, page: null });
    this.chart = make("select", { id: "marks-chart" }, ...Object.entries(CHARTS).map(([value, words]) => make("option", { value }, words)));
    this.fields = new Map(MARKS.map(([axis, number]) => [`${axis}${number}`, this.fieldsOf(axis, number)]));
    this.scales = new Map(["x", "y"].map((axis) => [axis, make("select", { id: `marks-${axis}-scale`, "aria-label": `Scale of the ${axis === "x" ? "level" : "upright"} axis` }, ...Object.entries(SCALES).map(([value, words]) => make("option", { value }, words)))]));
    this.box = make("details", { id: "marks" }, make("summary", {}, "A chart that is a picture: mark its scale"));
    const form = make("form", { "aria-label": "Scale of a chart that is a picture", onsubmit: (event) => { event.preventDefault(); this.read(); } },
      make("p", { class: "hint" }, "Type the value of a line of the grid, press “Click on the page” and click that line; or type how many points it stands from the page's left or top. Two on each axis, far apart."),
      make("p", {}, make("label", { for: "marks-chart" }, "The chart shows "), this.chart),
      ...[...this.fields.values()].map((one) => one.row),
      make("p", {}, "The level axis is ", this.scales.get("x"), ", the upright one ", this.scales.get("y")),
      make("p", { class: "actions" }, make("button", { type: "submit" }, "Read the picture by these marks")));
    this.box.append(form);
    by("sight").addEventListener("click", (event) => this.place(event), true);
    by("sight").addEventListener("keydown", (event) => { if (event.key === "Escape") this.wait(null); });
  }

  fieldsOf(axis, number) {
    const name = `${axis}${number}`;
    const words = `${axis === "x" ? "level" : "upright"} axis, mark ${number}`;
    const field = (id, label) => make("input", { id: `marks-${name}-${id}`, inputmode: "decimal", size: 8, maxlength: 16, autocomplete: "off", "aria-label": `${label} of the ${words}` });
    const [value, at] = [field("value", "Value"), field("at", axis === "x" ? "Points from the left" : "Points from the top")];
    const press = make("button", { type: "button", "aria-pressed": "false", "data-mark": name, onclick: () => this.wait(this.next === name ? null : name) }, "Click on the page");
    return { value, at, press, row: make("p", {}, `${words[0].toUpperCase()}${words.slice(1)}: value `, value, " at ", at, ` pt from the ${axis === "x" ? "left" : "top"} `, press) };
  }

  // Waits for a click on the page for this mark.
  wait(name) {
    this.next = name;
    for (const [other, { press }] of this.fields) press.setAttribute("aria-pressed", String(other === name));
    by("sight").classList.toggle("marking", name !== null);
  }

  place(event) {
    if (!this.next || !this.picture.drawing || this.picture.dragged) return;
    event.preventDefault();
    event.stopPropagation();
    const box = this.picture.drawing.getBoundingClientRect();
    const { at, value } = this.fields.get(this.next);
    const far = this.next[0] === "x" ? event.clientX - box.left : event.clientY - box.top;
    this.page = this.picture.page;
    at.value = (far / this.picture.scale).toFixed(2);
    this.wait(null);
    value.focus();
  }

  async read() {
    const number = (field) => (field.value.trim() ? Number(field.value.trim().replace(",", ".")) : NaN);
    const axis = (name) => [1, 2].map((one) => ({ at: number(this.fields.get(`${name}${one}`).at), value: number(this.fields.get(`${name}${one}`).value) }));
    const sent = { page: this.page ?? this.picture.page, chart: this.chart.value, x: axis("x"), y: axis("y"), x_scale: this.scales.get("x").value, y_scale: this.scales.get("y").value, who: who() };
    if ([...sent.x, ...sent.y].some((one) => !Number.isFinite(one.at) || !Number.isFinite(one.value))) { tell("Each of the four marks needs a place and a value.", true); return; }
    tell("Reading the picture …");
    try {
      const curves = await send(`/api/sheets/${this.sheet}/pictures`, sent);
      this.took(curves);
      tell(`Read by your marks: ${curves.filter((one) => one.page === sent.page).length} curves on page ${sent.page}. Those of no part wait for you.`);
    } catch (error) { tell(error.message, true); }
  }
}
