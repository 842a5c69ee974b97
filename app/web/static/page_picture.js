// The page of a datasheet with every read cell outlined where it stands, and the chosen one enlarged.
import { by, make } from "./making.js";

const AROUND = { x: 46, y: 20 }; // points shown around the chosen cell

export class PagePicture {
  constructor(sheet, choose, hover) {
    Object.assign(this, { sheet, onchoose: choose, onhover: hover, cells: new Map(), pages: new Map(), page: null, zoom: 1 });
    by("smaller").addEventListener("click", () => this.resize(this.zoom / 1.25));
    by("larger").addEventListener("click", () => this.resize(this.zoom * 1.25));
  }

  open(pages, numbers) {
    this.pages = new Map(pages.map((one) => [one.page, one]));
    by("no-copy").hidden = pages.length > 0;
    by("loupe").toggleAttribute("hidden", pages.length === 0);
    this.numbers = numbers;
    by("tabs").replaceChildren(...pages.map(({ page }) => {
      const count = numbers.filter((one) => one.place.page === page).length;
      return make("button", { type: "button", "data-page": page, "aria-pressed": "false", onclick: () => this.show(page) }, `page ${page} (${count})`);
    }));
    if (pages.length) this.show(pages[0].page);
  }

  cellOf(one) {
    if (!this.cells.has(one.number_id)) this.cells.set(one.number_id, this.numberToCell(one));
    return this.cells.get(one.number_id);
  }

  numberToCell(one) {
    const { x0, top, x1, bottom } = one.place;
    return make("svg:rect", {
      class: "cell", "data-state": one.state, x: x0 - 1, y: top - 1, width: Math.max(2, x1 - x0 + 2), height: Math.max(2, bottom - top + 2),
      onclick: () => this.onchoose(one.number_id),
      onmouseover: () => this.onhover(one.number_id, true), onmouseout: () => this.onhover(one.number_id, false),
    }, make("svg:title", {}, `${one.part_number} ${one.quantity} ${one.condition}: ${one.shown}, ${one.state}`));
  }

  address(page) { return `/api/sheets/${this.sheet}/pages/${page}.png`; }

  show(page) {
    if (page === this.page || !this.pages.has(page)) return;
    this.page = page;
    const { width, height } = this.pages.get(page);
    const cells = this.numbers.filter((one) => one.place.page === page).map((one) => this.cellOf(one));
    this.drawing = make("svg:svg", { viewBox: `0 0 ${width} ${height}`, "aria-hidden": "true" },
      make("svg:image", { href: this.address(page), width, height }), ...cells);
    by("sight").replaceChildren(by("no-copy"), this.drawing);
    for (const tab of by("tabs").children) tab.setAttribute("aria-pressed", String(Number(tab.dataset.page) === page));
    this.resize(this.zoom);
  }

  resize(zoom) {
    this.zoom = Math.min(5, Math.max(0.4, zoom));
    this.drawing?.style.setProperty("width", `${this.zoom * 100}%`);
  }

  mark(one) {
    const cell = this.cells.get(one.number_id);
    if (cell) cell.dataset.state = one.state;
    else if (this.numbers) this.numbers = this.numbers.map((old) => (old.number_id === one.number_id ? one : old));
  }

  hover(id, is) { this.cells.get(id)?.classList.toggle("hover", is); }

  choose(one) {
    for (const cell of document.querySelectorAll("rect.chosen")) cell.classList.remove("chosen");
    if (!this.pages.has(one.place.page)) { by("loupe").replaceChildren(); return; }
    this.show(one.place.page);
    const cell = this.cellOf(one);
    cell.classList.add("chosen");
    cell.parentNode.append(cell); // drawn last, above its neighbours
    this.enlarge(one);
    const sight = by("sight");
    const scale = this.drawing.clientWidth / this.pages.get(this.page).width;
    sight.scrollTo({ left: one.place.x0 * scale - sight.clientWidth / 2, top: one.place.top * scale - sight.clientHeight / 2 });
  }

  enlarge(one) {
    const { x0, top, x1, bottom, page } = one.place;
    const { width, height } = this.pages.get(page);
    const box = `${x0 - AROUND.x} ${top - AROUND.y} ${x1 - x0 + 2 * AROUND.x} ${bottom - top + 2 * AROUND.y}`;
    const loupe = by("loupe");
    loupe.setAttribute("viewBox", box);
    loupe.replaceChildren(make("svg:image", { href: this.address(page), width, height }),
      make("svg:rect", { class: "cell chosen", x: x0 - 1, y: top - 1, width: x1 - x0 + 2, height: bottom - top + 2 }));
  }
}
