// Printed numbers that were not read, shaded on the page with the reason: nothing printed goes unnoticed.
import { ask } from "./asking.js";
import { by, counted, make, shown, tell } from "./making.js";

export class Unread {
  constructor(sheet, picture) {
    Object.assign(this, { sheet, picture, rows: null, isOn: false });
    by("unread").addEventListener("click", () => this.toggle());
  }

  async toggle() {
    this.isOn = !this.isOn;
    by("unread").setAttribute("aria-pressed", String(this.isOn));
    document.querySelector(".legend [data-state=unread]").hidden = !this.isOn;
    if (this.isOn && !this.rows) {
      by("unread").querySelector(".many").textContent = "…";
      try { this.rows = await ask(`/api/sheets/${this.sheet}/not-read`); } catch (error) { this.isOn = false; by("unread").setAttribute("aria-pressed", "false"); tell(error.message, true); }
      by("unread").querySelector(".many").textContent = this.rows ? this.rows.length : "";
      if (this.rows) tell(this.rows.length ? `${counted(this.rows.length, "printed number")} not read: shaded, the reason stands at each.` : "Every printed number was read.");
    }
    this.show();
  }

  show() {
    this.picture.drawing?.querySelectorAll(".unread").forEach((one) => one.remove());
    if (!this.isOn || !this.rows || !this.picture.drawing) return;
    const here = this.rows.filter((one) => one.place.page === this.picture.page);
    this.picture.drawing.append(...here.map((one) => this.picture.put(make("div", { class: "unread", title: shown(`“${one.raw}” was not read: ${one.reason}`) }), one.place)));
  }
}
