// A cell as it stands on its page, enlarged, always with its column's heading above and its row's name beside it.
import { make, value } from "./making.js";

const DOTS = devicePixelRatio > 1.2 ? 6 : 3; // of the pictures, for each point
const AROUND = { x: 5, y: 4 }; // points shown around a cell
const NARROWEST = 34; // points: narrower, a cell is lost beside its row's name
const HIGHEST = 130; // screen pixels of heading and cell, so that the answers below stay in sight

// One figure: numbers of one row of one page; `room` is the width on the screen in pixels.
export function figureOf(state, picture, ids, room, attributes = {}) {
  const boxes = ids.map((id) => state.boxes.get(id)).filter(Boolean);
  const one = state.numbers.get(ids[0]);
  const caption = make("figcaption", {}, ids.length === 1 ? make("strong", {}, ...value(one)) : `${ids.length} cells`, ` · page ${one.place.page}`);
  const shows = boxes.length && picture.pages.has(one.place.page) ? clips(boxes, one.place.page, picture, room) : [make("p", { class: "raw" }, `printed “${one.raw}”`)];
  return make("figure", attributes, make("div", { class: "clips" }, ...shows), caption);
}

// The same for a printed number that another page found: its sheet, its page and its size come with it.
export function pictureOf(source, room) {
  const picture = {
    address: (page, dots) => `/api/sheets/${source.sha256}/pages/${page}.png?dots=${dots}`,
    pages: new Map([[source.page, source]]),
  };
  const caption = make("figcaption", {}, make("strong", {}, source.raw), ` · ${source.document}, page ${source.page}`);
  return make("figure", {}, make("div", { class: "clips" }, ...clips([source.boxes], source.page, picture, room)), caption);
}

function clips(boxes, page, picture, room) {
  const cell = around(boxes.map((box) => box.cell));
  const heading = around(boxes.map((box) => box.heading));
  const { label } = boxes[0];
  const own = label.x0 !== cell.x0 || label.top !== cell.top; // a sheet of one part names no rows
  const columns = spread({ x0: Math.min(cell.x0, heading.x0) - AROUND.x, x1: Math.max(cell.x1, heading.x1) + AROUND.x });
  const row = { top: cell.top - AROUND.y, bottom: cell.bottom + AROUND.y };
  const beside = label.bottom > cell.top && label.top < cell.bottom;
  const named = beside ? { top: row.top, bottom: row.bottom } : { top: label.top - AROUND.y, bottom: label.bottom + AROUND.y };
  const width = columns.x1 - columns.x0 + (own ? label.x1 - label.x0 + 8 : 0);
  const height = heading.bottom - heading.top + row.bottom - row.top;
  const scale = Math.max(0.8, Math.min(2.6, (room - 14) / width, Math.max(1.5, HIGHEST / height)));
  const view = (box, marks = []) => clip(picture, page, box, scale, marks);
  const parts = [
    make("span", { class: "corner" }),
    view({ ...columns, top: heading.top - 3, bottom: heading.bottom }),
    own ? view({ x0: label.x0 - 4, x1: label.x1 + 4, ...named }) : make("span", {}),
    view({ ...columns, ...row }, boxes.map((box) => box.cell)),
  ];
  parts[1].classList.add("heading");
  parts[2].classList.add("label");
  return parts;
}

function clip(picture, page, box, scale, marks) {
  const { width, height } = picture.pages.get(page);
  const [wide, high] = [box.x1 - box.x0, box.bottom - box.top];
  return make("svg:svg", { viewBox: `${box.x0} ${box.top} ${wide} ${high}`, width: (wide * scale).toFixed(1), height: (high * scale).toFixed(1), "aria-hidden": "true" },
    make("svg:image", { href: picture.address(page, DOTS), width, height }),
    ...marks.map((mark) => make("svg:rect", { x: mark.x0 - 1.6, y: mark.top - 1.6, width: mark.x1 - mark.x0 + 3.2, height: mark.bottom - mark.top + 3.2 })));
}

function spread({ x0, x1 }) {
  const missing = Math.max(0, NARROWEST - (x1 - x0)) / 2;
  return { x0: x0 - missing, x1: x1 + missing };
}

const around = (boxes) => ({
  x0: Math.min(...boxes.map((box) => box.x0)), top: Math.min(...boxes.map((box) => box.top)),
  x1: Math.max(...boxes.map((box) => box.x1)), bottom: Math.max(...boxes.map((box) => box.bottom)),
});

// A text with the signs marked in which it differs from others: what stands between the beginning and the end that they share.
export function marked(text, others) {
  const alike = (signs, turned) => Math.min(...others.map((other) => shared(signs, turned ? [...other].reverse() : [...other])));
  const from = others.length ? alike([...text], false) : text.length;
  const shortest = Math.min(text.length, ...others.map((other) => other.length));
  const to = text.length - (others.length ? Math.min(shortest - from, alike([...text].reverse(), true)) : 0);
  return [text.slice(0, from), ...(to > from ? [make("mark", {}, text.slice(from, to))] : []), text.slice(to)];
}

function shared(signs, others) {
  const at = signs.findIndex((sign, index) => others[index] !== sign);
  return at < 0 ? signs.length : at;
}
