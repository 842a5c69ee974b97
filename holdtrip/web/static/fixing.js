// The form of a correction or a rejection, beside the cell it is about: what the value means and what is odd
// about it stands there while it is typed. What was typed stays until it is saved or given up.
import { ask, query } from "./asking.js";
import { by, make, shown } from "./making.js";
import { meaning, partName } from "./review_state.js";

const FIRST = 3; // so many of the things that are odd stand in sight, the others a click away
const UNITS = { ohm: "Ω", mohm: "mΩ", percent: "%", 1: "as a fraction" };

export class Fixing {
  // save(kind, said) resolves to an Error's message, or to nothing when it was kept.
  constructor(sheet, save) {
    Object.assign(this, { sheet, save, about: null, turn: 0, sure: "" });
    by("fix").addEventListener("submit", (event) => { event.preventDefault(); this.submit(); });
    by("fix-no").addEventListener("click", () => this.close());
    by("fix").addEventListener("keydown", (event) => { if (event.key === "Escape") { event.stopPropagation(); this.close(); }
      if (event.key === "Enter" && event.repeat) event.preventDefault(); }); // a key held down says nothing twice
    for (const id of ["value", "unit"]) by(id).addEventListener("input", () => this.judge());
    by("reason").addEventListener("input", () => this.say([]));
  }

  get isOpen() { return !by("fix").hidden; }

  open(kind, one, count) {
    this.about = { kind, one };
    this.sure = "";
    const what = count > 1 ? `${count} numbers` : `${partName(one)} ${meaning(one)}`;
    by("fix-title").textContent = shown(kind === "correct" ? `Correct ${what}: read as ${one.shown}, printed “${one.raw}”` : `Reject ${what}: no comparison will use them`);
    by("fix-value").hidden = kind !== "correct";
    by("unit").replaceChildren(...one.units.map((unit) => make("option", { value: unit }, UNITS[unit] || unit)));
    by("value").value = "";
    by("value").placeholder = one.units[0] === "1" ? one.shown.replace(/\s*%/, " %") : one.shown.replace(/\s*\D+$/, "");
    by("reason").value = by("fix-means").textContent = "";
    this.say([]);
    by("fix-yes").firstChild.textContent = "Save ";
    by("fix").hidden = false;
    by("card").classList.add("fixing");
    (kind === "correct" ? by("value") : by("reason")).focus();
    by("fix").scrollIntoView({ block: "nearest" });
  }

  close() {
    by("fix").hidden = true;
    by("card").classList.remove("fixing");
    by("main").focus({ preventScroll: true });
  }

  say(lines) {
    const [first, rest] = [lines.slice(0, FIRST + 1), lines.slice(FIRST + 1)].map((some) => some.map((line) => make("p", {}, line)));
    by("fix-refused").replaceChildren(...first, ...(rest.length ? [make("details", {}, make("summary", {}, `and ${rest.length} more`), ...rest)] : []));
    if (lines.length) by("fix-refused").scrollIntoView({ block: "nearest" });
  }

  // What the typed text means in SI, while it is typed.
  async judge() {
    const [text, mine] = [by("value").value.trim(), ++this.turn];
    this.say([]);
    by("fix-yes").firstChild.textContent = "Save ";
    by("fix-means").textContent = text ? "…" : "";
    if (!text) return;
    try {
      const found = await ask(`/api/sheets/${this.sheet}/judged?${query({ number_id: this.about.one.number_id, text, unit: by("unit").value })}`);
      if (mine !== this.turn) return;
      by("fix-means").textContent = found.shown ? `= ${found.shown}${found.odd.length ? ", odd" : ""}` : "";
      this.found = found;
    } catch { by("fix-means").textContent = ""; }
  }

  async submit() {
    const said = { reason: by("reason").value.trim() };
    if (this.about.kind === "correct") {
      Object.assign(said, { text: by("value").value.trim(), unit: by("unit").value });
      if (!said.text) { this.say(["Type the right value."]); by("value").focus(); return; }
      await this.judge();
      const { value, odd } = this.found;
      if (value === null) { this.say(odd); by("value").focus(); return; }
      if (!said.reason) { this.say(["Say why: others must be able to follow.", ...odd]); by("reason").focus(); return; }
      const asked = JSON.stringify([said.text, said.unit]);
      if (odd.length && this.sure !== asked) { this.ask(asked, odd); return; }
      said.sure = odd.length > 0;
    } else if (!said.reason) { this.say(["Say why: others must be able to follow."]); by("reason").focus(); return; }
    const refused = await this.save(this.about.kind, said);
    if (refused) this.say([refused, "What you typed is still here: look at the number as it stands now, then save again or cancel."]);
    else this.close();
  }

  // An odd value is asked about once; the same value sent again is meant.
  ask(asked, odd) {
    this.sure = asked;
    this.say(["This is odd. If it is really so, save it again.", ...odd]);
    by("fix-yes").firstChild.textContent = "It is so: save ";
  }
}
