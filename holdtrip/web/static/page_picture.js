// The page of a datasheet with the ink of every number outlined, in a window to zoom and drag.
import { by, make } from "./making.js";
import { meaning } from "./review_state.js";

const DOTS = [1, 2, 3, 4, 6]; // pictures the server draws, in dots for each point
const LEGIBLE = 0.8; // smaller, the figures of a page as wide as its window cannot be read
const [LEAST, MOST] = [0.3, 8]; // screen pixels for each point

export class PagePicture {
  constructor(sheet, state, choose, hover) {
    Object.assign(this, { sheet, state, onchoose: choose, onhover: hover, cells: new Map(), pages: new Map(), page: null, scale: 1, fit: "width", focus: [] });
    this.sight = by("sight");
    by("smaller").addEventListener("click", () => this.zoom(1 / 1.25));
    by("larger").addEventListener("click", () => this.zoom(1.25));
    by("fit-width").addEventListener("click", () => { this.asked = true; this.fitTo("width"); });
    by("fit-page").addEventListener("click", () => this.fitTo("page"));
    this.sight.addEventListener("wheel", (event) => this.wheel(event), { passive: false });
    this.sight.addEventListener("pointerdown", (event) => this.drag(event));
    new ResizeObserver(() => { if (this.fit) this.fitTo(this.fit); else if (this.focus.length) this.keepInView(); }).observe(this.sight);
  }

  address(page, dots) { return `/api/sheets/${this.sheet}/pages/${page}.png?dots=${dots}`; }

  open(pages) {
    this.pages = new Map(pages.map((one) => [one.page, one]));
    by("no-copy").hidden = pages.length > 0;
    const [counts, scanned] = [new Map(), new Set()];
    for (const one of this.state.numbers.values()) {
      if (this.state.isGone(one.number_id)) continue;
      counts.set(one.place.page, (counts.get(one.place.page) || 0) + 1);
      if (one.recognised) scanned.add(one.place.page);
    }
    by("tabs").replaceChildren(...pages.map(({ page }) =>
      make("button", { type: "button", "data-page": page, "aria-pressed": "false", onclick: () => this.show(page) }, `Page ${page}`, ...(scanned.has(page) ? [make("span", { class: "scan", title: "A picture: what stands on it was recognised" }, "scan")] : []), make("span", { class: "many" }, counts.get(page) || 0))));
    if (pages.length) this.show(pages[0].page);
  }

  // The outlines anew, when numbers have come or gone; the picture stays.
  redraw() {
    const page = this.page;
    for (const cell of this.cells.values()) cell.remove();
    this.cells.clear();
    for (const one of this.state.numbers.values()) if (one.place.page === page && !this.state.isGone(one.number_id)) this.drawing?.append(this.numberToCell(one));
  }

  show(page) {
    if (page === this.page || !this.pages.has(page)) return;
    this.page = page;
    this.dots = 0;
    this.image = make("img", { alt: "", draggable: "false" });
    this.cells.clear();
    const own = [...this.state.numbers.values()].filter((one) => one.place.page === page && !this.state.isGone(one.number_id));
    this.bands = [make("div", { class: "band-row", hidden: "" }), make("div", { class: "band-column", hidden: "" })];
    this.drawing = make("div", { class: "drawing", "aria-hidden": "true" }, this.image, ...this.bands, ...own.map((one) => this.numberToCell(one)));
    this.sight.replaceChildren(by("no-copy"), this.drawing);
    for (const tab of by("tabs").children) tab.setAttribute("aria-pressed", String(Number(tab.dataset.page) === page));
    if (this.fit) this.fitTo(this.fit); else this.resize(this.scale);
    this.onpage?.();
  }

  // The page is one box; everything in it stands at shares of it, so that a zoom moves nothing by hand.
  put(element, { x0, top, x1, bottom }) {
    const { width, height } = this.pages.get(this.page);
    Object.assign(element.style, { left: `${(100 * x0) / width}%`, top: `${(100 * top) / height}%`, width: `${(100 * (x1 - x0)) / width}%`, height: `${(100 * (bottom - top)) / height}%` });
    return element;
  }

  numberToCell(one) {
    const id = one.number_id;
    const cell = make("div", { class: "cell", "data-state": one.state, "data-id": id, title: `${one.part_number} ${meaning(one)}: ${one.shown}`,
      onclick: (event) => { if (!this.dragged && !this.sight.classList.contains("framing")) this.onchoose(id, event.shiftKey); },
      onmouseover: () => this.onhover(id, true), onmouseout: () => this.onhover(id, false) });
    this.cells.set(id, cell);
    return this.put(cell, this.state.cell(id));
  }

  replace() {
    for (const [id, cell] of this.cells) this.put(cell, this.state.cell(id));
    this.showBands();
  }

  mark(one) { const cell = this.cells.get(one.number_id); if (cell) cell.dataset.state = one.state; }

  hover(id, is) { this.cells.get(id)?.classList.toggle("hover", is); }

  // Shows the chosen number in its row and column, and outlines everything the next decision covers.
  choose(id, covered) {
    this.focus = [id];
    this.show(this.state.numbers.get(id).place.page);
    for (const cell of this.cells.values()) cell.classList.remove("chosen", "covered");
    const places = new Set([this.placeOf(id)]); // one printed cell may stand for several parts: it is outlined once
    for (const other of covered.length > 1 ? covered : []) {
      const cell = this.cells.get(other);
      if (!cell || places.has(this.placeOf(other))) continue;
      places.add(this.placeOf(other));
      cell.classList.add("covered");
    }
    this.cells.get(id)?.classList.add("chosen");
    this.showBands();
    if (this.fit === "width" && !this.asked && this.scale < LEGIBLE) { this.pressFit(null); this.resize(1.4); } // a phone
    this.keepInView();
  }

  placeOf(id) { const { x0, top } = this.state.cell(id); return `${this.state.numbers.get(id).place.page} ${x0} ${top}`; }

  showBands() {
    const found = this.state.boxes.get(this.focus[0]);
    const here = found && this.pages.has(this.page) && this.state.numbers.get(found.number_id).place.page === this.page;
    for (const band of this.bands || []) band.hidden = !here;
    if (!here) return;
    const { cell, label, heading } = found;
    const pad = 1.5;
    this.put(this.bands[0], { x0: Math.min(label.x0, cell.x0) - pad, x1: Math.max(label.x1, cell.x1) + pad, top: Math.min(cell.top, label.top > cell.bottom || label.bottom < cell.top ? cell.top : label.top) - pad, bottom: cell.bottom + pad });
    this.put(this.bands[1], { x0: Math.min(heading.x0, cell.x0) - pad, x1: Math.max(heading.x1, cell.x1) + pad, top: heading.top - pad, bottom: Math.max(cell.bottom, heading.bottom) + pad });
  }

  keepInView() {
    const { x0, top, x1, bottom } = this.state.cell(this.focus[0]);
    if (!this.drawing || this.state.numbers.get(this.focus[0]).place.page !== this.page) return;
    const [x, y] = [((x0 + x1) / 2) * this.scale + this.drawing.offsetLeft, ((top + bottom) / 2) * this.scale + this.drawing.offsetTop];
    const { clientWidth: wide, clientHeight: high, scrollLeft, scrollTop } = this.sight;
    const inside = x > scrollLeft + 0.1 * wide && x < scrollLeft + 0.9 * wide && y > scrollTop + 0.15 * high && y < scrollTop + 0.85 * high;
    if (!inside) this.sight.scrollTo({ left: x - wide / 2, top: y - high / 2 });
  }

  resize(scale) {
    this.scale = Math.min(MOST, Math.max(LEAST, scale));
    const { width, height } = this.pages.get(this.page);
    Object.assign(this.drawing.style, { width: `${width * this.scale}px`, height: `${height * this.scale}px` });
    this.sharpen();
  }

  // The picture with at least as many dots as the screen shows; the one before stays until it has come.
  sharpen() {
    const needed = this.scale * devicePixelRatio;
    const dots = DOTS.find((one) => one >= needed * 0.95) || DOTS[DOTS.length - 1];
    if (dots <= this.dots) return;
    this.dots = dots;
    const [image, address] = [this.image, this.address(this.page, dots)];
    if (!image.src) { image.src = address; return; }
    const finer = new Image();
    finer.onload = () => { if (this.image === image && this.dots === dots) image.src = address; };
    finer.src = address;
  }

  fitTo(what) {
    if (!this.pages.has(this.page)) return;
    this.pressFit(what);
    const { width, height } = this.pages.get(this.page);
    const across = (this.sight.clientWidth - 2) / width;
    this.resize(what === "width" ? across : Math.min(across, (this.sight.clientHeight - 2) / height));
    if (this.focus.length) this.keepInView();
  }

  pressFit(what) {
    this.fit = what;
    by("fit-width").setAttribute("aria-pressed", String(what === "width"));
    by("fit-page").setAttribute("aria-pressed", String(what === "page"));
  }

  // Larger or smaller about a point of the window; about the chosen cell, which stays in view, without one.
  zoom(by_, at = null) {
    if (!this.pages.has(this.page)) return;
    this.pressFit(null);
    const before = this.scale;
    const { scrollLeft, scrollTop } = this.sight;
    this.resize(before * by_);
    const ratio = this.scale / before;
    if (at) this.sight.scrollTo({ left: (scrollLeft + at.x) * ratio - at.x, top: (scrollTop + at.y) * ratio - at.y });
    else if (this.focus.length) {
      const { x0, top, x1, bottom } = this.state.cell(this.focus[0]);
      this.sight.scrollTo({ left: ((x0 + x1) / 2) * this.scale - this.sight.clientWidth / 2, top: ((top + bottom) / 2) * this.scale - this.sight.clientHeight / 2 });
    }
  }

  wheel(event) {
    if (!event.ctrlKey && !event.metaKey) return;
    event.preventDefault();
    const frame = this.sight.getBoundingClientRect();
    this.zoom(Math.exp(-event.deltaY / 300), { x: event.clientX - frame.left, y: event.clientY - frame.top });
  }

  drag(event) {
    this.dragged = false;
    if (event.pointerType === "touch" || event.button !== 0 || this.sight.classList.contains("framing")) return;
    const from = { x: event.clientX, y: event.clientY, left: this.sight.scrollLeft, top: this.sight.scrollTop };
    const move = (moved) => {
      const [x, y] = [moved.clientX - from.x, moved.clientY - from.y];
      if (Math.hypot(x, y) < 5 && !this.dragged) return;
      this.dragged = true;
      this.sight.classList.add("dragging");
      this.sight.scrollTo(from.left - x, from.top - y);
    };
    const end = () => { removeEventListener("pointermove", move); this.sight.classList.remove("dragging"); };
    addEventListener("pointermove", move);
    addEventListener("pointerup", end, { once: true });
    addEventListener("pointercancel", end, { once: true });
  }
}
