// Plots drawn on the page itself: sharp at every width, in the page's own colours, light or dark.
import { make, shown } from "./making.js";

export const LOOKS = 6; // parts that can be told apart: each has a colour and a mark of its own
const MARKS = [circle, square, triangle, diamond, cross, ring];
const EDGE = { left: 46, right: 14, top: 14, bottom: 34 };
const LETTER = 7.5; // pixels of a letter of what a plot says, about

// Hold (solid) and trip (dashed) of several parts against ambient, with what is asked at both ends.
export function drawDerating(into, parts) {
  const asked = parts[0].asked || { hold_a: 0 };
  const pieces = parts.flatMap((one) => [...one.hold, ...one.trip]);
  if (!pieces.length) { into.replaceChildren(nothing("Nothing to draw: derating numbers are missing or disputed.")); return; }
  const temperatures = [asked.coldest_c, asked.hottest_c, ...pieces.flatMap((piece) => [piece.from_c, piece.to_c])].filter((one) => one !== undefined);
  const currents = [asked.hold_a, asked.fault_min_a || 0, ...pieces.flatMap((piece) => [piece.from_a, piece.to_a])];
  const top = Math.min(Math.max(...currents), 3 * Math.max(asked.hold_a, ...parts.flatMap((one) => one.trip.map((piece) => piece.from_a)), ...parts.flatMap((one) => one.hold.map((piece) => piece.from_a))));
  const axes = new Axes(into, linear(Math.min(...temperatures), Math.max(...temperatures)), linear(0, top * 1.06));
  const lines = parts.flatMap((one, look) => [...course(axes, one.hold, look, "hold"), ...course(axes, one.trip, look, "trip")]);
  const limits = [
    ...(asked.hold_a ? limit(axes, asked.hottest_c, asked.hold_a, `must hold ${short(asked.hold_a)} A at ${short(asked.hottest_c)} °C`, true) : []),
    ...(asked.fault_min_a ? limit(axes, asked.coldest_c, asked.fault_min_a, `must trip at ${short(asked.fault_min_a)} A at ${short(asked.coldest_c)} °C`, false) : []),
  ];
  axes.show([...lines, ...limits], `Hold and trip current of ${parts.map((one) => one.part_number).join(", ")} against ambient${parts[0].asked ? ", with what is asked" : ""}`);
}

// Times to trip of several parts: tabulated ones as marks, drawn curves as lines, with what is asked of them.
export function drawTimes(into, parts) {
  const asked = parts[0].asked || {};
  const points = parts.flatMap((one) => one.times);
  const vertices = parts.flatMap((one) => one.drawn.flatMap((line) => line.points));
  if (!points.length && !vertices.length) { into.replaceChildren(nothing("No time to trip is tabulated or drawn for these parts.")); return; }
  const currents = [...points.map((one) => one.current_a), ...vertices.map(([current]) => current), asked.fault_min_a, asked.fault_max_a, asked.peak_current_a].filter(Boolean);
  const times = [...points.map((one) => one.time_s), ...vertices.map(([, time]) => time), asked.trip_time_max_s, asked.peak_duration_s].filter(Boolean);
  const axes = new Axes(into, powers(...decade(Math.min(...currents) / 1.3, Math.max(...currents) * 1.3)), powers(...decade(Math.min(...times) / 1.6, Math.max(...times) * 1.6)));
  const lines = parts.flatMap((one, look) => {
    const sorted = [...one.times].sort((a, b) => a.current_a - b.current_a).map((point) => [axes.x(point.current_a), axes.y(point.time_s), point.status]);
    const sure = sorted.filter(([, , status]) => status !== "disputed");
    return [...one.drawn.map((line) => make("svg:polyline", { class: `course look${look} trip`, points: line.points.map(([current, time]) => `${axes.x(current)},${axes.y(time)}`).join(" ") })),
      make("svg:polyline", { class: `course look${look} hold`, points: sure.map(([x, y]) => `${x},${y}`).join(" ") }),
      ...sorted.map(([x, y, status]) => MARKS[look](x, y, { class: `mark look${look}${status === "disputed" ? " computed" : ""}` }))];
  });
  const limits = [];
  if (asked.fault_min_a) limits.push(...wall(axes, asked.fault_min_a, null, `lowest fault ${short(asked.fault_min_a)} A`));
  if (asked.trip_time_max_s) limits.push(...wall(axes, null, asked.trip_time_max_s, `within ${short(asked.trip_time_max_s)} s`));
  if (asked.peak_current_a && asked.peak_duration_s) limits.push(...limit(axes, asked.peak_current_a, asked.peak_duration_s, `must not trip before ${short(asked.peak_duration_s)} s`, true));
  const caution = vertices.length ? [make("p", { class: "hint" }, "Dashed: typical curves as drawn, no limits. Marks: longest times of the tables.")] : [];
  axes.show([...lines, ...limits], `Times to trip of ${parts.map((one) => one.part_number).join(", ")}`);
  into.append(...caution);
}

// A bar from "just met" to how far a need is met, on a scale of ratios from 0.1 to 10.
export function bar(margin, look) {
  const at = (ratio) => 100 * (Math.log10(Math.min(10, Math.max(0.1, ratio))) + 1) / 2;
  const [from, to] = [50, at(margin)].sort((a, b) => a - b);
  return make("svg:svg", { class: "bar", viewBox: "0 0 100 12", preserveAspectRatio: "none", "aria-hidden": "true" },
    make("svg:rect", { class: `fill look${look}`, x: from, y: 2, width: Math.max(1, to - from), height: 8 }), make("svg:line", { class: "just", x1: 50, x2: 50, y1: 0, y2: 12 }));
}

export function sample(look) {
  return make("svg:svg", { class: "sample", viewBox: "0 0 34 14", "aria-hidden": "true" },
    make("svg:polyline", { class: `course look${look} hold`, points: "1,7 33,7" }), MARKS[look](17, 7, { class: `mark look${look}` }));
}

class Axes {
  constructor(into, across, up) {
    this.into = into;
    this.width = Math.max(280, into.clientWidth);
    this.height = Math.round(Math.min(420, Math.max(240, this.width * 0.62)));
    Object.assign(this, { across, up });
  }

  x(value) { return EDGE.left + this.across.share(value) * (this.width - EDGE.left - EDGE.right); }

  y(value) { return this.height - EDGE.bottom - this.up.share(value) * (this.height - EDGE.top - EDGE.bottom); }

  show(shapes, says) {
    const [right, bottom] = [this.width - EDGE.right, this.height - EDGE.bottom];
    const grid = [
      ...this.across.ticks(Math.floor(this.width / 62)).flatMap((tick) => [
        make("svg:line", { class: "grid", x1: this.x(tick), x2: this.x(tick), y1: EDGE.top, y2: bottom }),
        make("svg:text", { x: this.x(tick), y: bottom + 18, "text-anchor": "middle" }, short(tick))]),
      ...this.up.ticks(Math.floor(this.height / 40)).flatMap((tick) => [
        make("svg:line", { class: "grid", x1: EDGE.left, x2: right, y1: this.y(tick), y2: this.y(tick) }),
        make("svg:text", { x: EDGE.left - 7, y: this.y(tick) + 4, "text-anchor": "end" }, short(tick))]),
      make("svg:rect", { class: "frame", x: EDGE.left, y: EDGE.top, width: right - EDGE.left, height: bottom - EDGE.top }),
    ];
    this.into.replaceChildren(make("svg:svg", { class: "plot-lines", width: this.width, height: this.height, viewBox: `0 0 ${this.width} ${this.height}`, role: "img", "aria-label": shown(says) }, ...grid, ...shapes));
  }
}

function linear(low, high) {
  const span = high - low || 1;
  return {
    share: (value) => Math.min(1, Math.max(0, (value - low) / span)),
    ticks: (most) => {
      const rough = span / Math.max(2, most);
      const power = 10 ** Math.floor(Math.log10(rough));
      const step = [1, 2, 2.5, 5, 10].map((digit) => digit * power).find((one) => one >= rough);
      const found = [];
      for (let tick = Math.ceil(low / step) * step; tick <= high + step / 1e6; tick += step) found.push(Number(tick.toPrecision(9)));
      return found;
    },
  };
}

// At least one power of ten, so that a single point stands between figures.
function decade(low, high) {
  const wider = Math.max(1, Math.sqrt(10 * low / high));
  return [low / wider, high * wider];
}

function powers(low, high) {
  const span = Math.log10(high / low) || 1;
  return {
    share: (value) => Math.min(1, Math.max(0, Math.log10(value / low) / span)),
    ticks: (most) => {
      const found = [];
      for (let power = Math.floor(Math.log10(low)); power <= Math.log10(high); power += 1) for (const digit of [1, 2, 5]) found.push(digit * 10 ** power);
      const inside = found.filter((tick) => tick >= low && tick <= high);
      return inside.length > most ? inside.filter((tick) => /^[1.0e+-]+$/.test(tick.toExponential())) : inside;
    },
  };
}

// Straight lines between tabulated points; filled marks are tabulated, hollow ones computed.
function* course(axes, pieces, look, which) {
  for (const piece of pieces) {
    const start = [axes.x(piece.from_c), axes.y(piece.from_a)];
    if (piece.from_c === piece.to_c) yield MARKS[look](...start, { class: `mark look${look}${piece.basis === "data" ? "" : " computed"}` });
    else yield make("svg:polyline", { class: `course look${look} ${which}`, points: `${start.join(",")} ${axes.x(piece.to_c)},${axes.y(piece.to_a)}` });
  }
}

// A point that is asked, with its words inside the axes on the side where there is room.
function* limit(axes, ambient, current, words, filled) {
  const [x, y] = [axes.x(ambient), axes.y(current)];
  const left = x > axes.width / 2;
  yield make("svg:rect", { class: filled ? "asked" : "asked hollow", x: x - 5, y: y - 5, width: 10, height: 10 });
  const above = y > axes.height - EDGE.bottom - 30;
  yield said(axes, x, left, 10, Math.max(EDGE.top + 14, above ? y - 9 : y + 20), words);
}

// Words beside a place, moved so far that they are whole within the axes.
function said(axes, x, left, gap, y, words) {
  const wide = words.length * LETTER;
  const start = Math.min(left ? x - gap - wide : x + gap, axes.width - EDGE.right - 4 - wide);
  return make("svg:text", { class: "says", x: Math.max(EDGE.left + 4, start), y }, words);
}

function* wall(axes, current, time, words) {
  const [right, bottom] = [axes.width - EDGE.right, axes.height - EDGE.bottom];
  const [x, y] = [current === null ? EDGE.left : axes.x(current), time === null ? EDGE.top : axes.y(time)];
  yield make("svg:line", { class: "wall", x1: x, x2: current === null ? right : x, y1: y, y2: time === null ? bottom : y });
  const left = x > axes.width / 2;
  if (current === null) yield make("svg:text", { class: "says", x: right - 6, y: y - 6, "text-anchor": "end" }, words);
  else yield said(axes, x, left, 6, bottom - 8, words);
}

function circle(x, y, look) { return make("svg:circle", { cx: x, cy: y, r: 3.6, ...look }); }
function square(x, y, look) { return make("svg:rect", { x: x - 3.3, y: y - 3.3, width: 6.6, height: 6.6, ...look }); }
function triangle(x, y, look) { return make("svg:polygon", { points: `${x},${y - 4.6} ${x + 4.4},${y + 3.4} ${x - 4.4},${y + 3.4}`, ...look }); }
function diamond(x, y, look) { return make("svg:polygon", { points: `${x},${y - 4.8} ${x + 4.8},${y} ${x},${y + 4.8} ${x - 4.8},${y}`, ...look }); }
function cross(x, y, look) { return make("svg:path", { d: `M${x - 3.6} ${y - 3.6}L${x + 3.6} ${y + 3.6}M${x - 3.6} ${y + 3.6}L${x + 3.6} ${y - 3.6}`, ...look }); }
function ring(x, y, look) { return make("svg:circle", { cx: x, cy: y, r: 4.4, ...look }); }

// Three digits, and thousands by a letter: what stands beside an axis has room for five signs.
const short = (value) => {
  const size = Math.abs(value) >= 1e6 ? [1e6, "M"] : Math.abs(value) >= 1e4 ? [1e3, "k"] : [1, ""];
  return `${Number((value / size[0]).toPrecision(3))}${size[1]}`;
};
const nothing = (words) => make("p", { class: "hint" }, words);
