// What may be answered to a question: one key for each answer, with what it would make of the first number.
import { send } from "./asking.js";
import { by, counted, make, shown } from "./making.js";
import { who } from "./signature.js";

export class Answers {
  // took(review, words) takes over the sheet as it stands after an answer, refused(error) tells why there was none.
  constructor(sheet, took, refused) {
    Object.assign(this, { sheet, took, refused, last: Promise.resolve() });
  }

  show(cause, open) {
    const asks = cause?.sort === "answers" && open > 0;
    by("answers").hidden = !asks;
    if (!asks) return;
    by("answers").replaceChildren(
      make("p", {}, `One answer for ${open === 1 ? "this number" : `all ${open}`} outlined; it counts as read once, and can be taken back.`),
      ...cause.answers.map((one, index) => make("button", { type: "button", onclick: () => this.give(cause, index) },
        make("kbd", {}, index + 1), make("span", {}, make("strong", {}, one.words), make("span", { class: "makes" }, shown(one.makes))))));
  }

  give(cause, index) {
    const said = cause?.answers[index];
    if (!said) return;
    this.queue("answers", { code: cause.code, reach: cause.reach, answer: said.answer }, `${said.words}: ${counted(cause.number_ids.length, "number")} ${said.answer === "column-by-column" ? "asked anew" : "settled by one answer"}.`);
  }

  takeBack(ids) {
    this.queue("answers/take-back", { number_ids: ids, reason: "taken back on the review page" }, "Taken back: what it settled is open again.");
  }

  // One after the other, so that each meets the sheet as the one before left it.
  queue(where, content, words) {
    this.last = this.last.then(async () => {
      try { this.took(await send(`/api/sheets/${this.sheet}/${where}`, { ...content, who: who() }), words); } catch (error) { this.refused(error); }
    });
  }
}
