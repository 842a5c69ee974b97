// Decisions on their way to the library, one after the other, so that fast keys never meet their own conflict.
import { ask, send } from "./asking.js";
import { who } from "./signature.js";

export class Decisions {
  // told(answer) after each decision, refused(error, ids) where one was not taken.
  constructor(sheet, state, told, refused) {
    Object.assign(this, { sheet, state, told, refused, last: Promise.resolve() });
  }

  // Numbers of several parts accepted or rejected as one step.
  step(action, ids, reason = "") {
    return this.queue(ids, () => this.post("steps", { action, parts: this.idsToParts(ids), reason }));
  }

  correct(id, said) {
    const { part_number } = this.state.numbers.get(id);
    return this.queue([id], () => this.post("decisions", { action: "correct", part_number, number_id: id, seen_version: this.state.versions.get(part_number), ...said }));
  }

  undo(ids) {
    return this.queue([], () => this.post("undo", { parts: this.idsToParts(ids), reason: "undone on the review page" }));
  }

  // Runs when everything sent before it has been answered; resolves to the answer, or to null.
  queue(ids, run) {
    for (const id of ids) this.state.sending.add(id);
    const mine = this.last.then(run).then(
      (answer) => { this.forget(ids); this.told(answer); return answer; },
      async (error) => {
        this.forget(ids);
        if (error.status === 409) this.told(await ask(`/api/sheets/${this.sheet}`)); // somebody was faster: what stands now
        this.refused(error, ids);
        return null;
      });
    this.last = mine.catch(() => null);
    return mine;
  }

  forget(ids) { for (const id of ids) this.state.sending.delete(id); }

  post(where, content) { return send(`/api/sheets/${this.sheet}/${where}`, { ...content, who: who() }); }

  idsToParts(ids) {
    const parts = new Map();
    for (const id of ids) {
      const { part_number } = this.state.numbers.get(id);
      if (!parts.has(part_number)) parts.set(part_number, []);
      parts.get(part_number).push(id);
    }
    return [...parts].map(([part_number, number_ids]) => ({ part_number, number_ids, seen_version: this.state.versions.get(part_number) }));
  }
}
