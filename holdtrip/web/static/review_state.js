// What is known of the sheet in review: its numbers as they stand, its questions, what goes together.
export const DECIDED = new Set(["accepted", "accepted_in_bulk", "corrected", "rejected", "replaced", "taken_back"]);
const GONE = new Set(["replaced", "taken_back"]); // another stands in its place, or the one before does again
const ONE_STEP_MS = 5000; // decisions of one click on several parts lie so close together

export class ReviewState {
  constructor() {
    Object.assign(this, { numbers: new Map(), versions: new Map(), boxes: new Map(), causes: [], causeOf: new Map(), sending: new Set() });
  }

  open(review) {
    this.causes = review.causes;
    this.later = review.later;
    this.causeOf.clear();
    for (const cause of review.causes) for (const id of cause.number_ids) this.causeOf.set(id, cause);
    this.learn(review);
  }

  // Takes over what the server says of parts and numbers; returns the numbers told.
  learn({ parts, numbers }) {
    for (const part of parts) this.versions.set(part.part_number, part.version);
    for (const one of numbers) this.numbers.set(one.number_id, one);
    return numbers;
  }

  // Numbers that no other came in the place of.
  standing() { return [...this.numbers.values()].filter((one) => !GONE.has(one.state)).map((one) => one.number_id); }

  isGone(id) { return GONE.has(this.numbers.get(id).state); }

  // A number that came by an answer stands where the one before it stood, until its own box has come.
  borrowBoxes() {
    const at = new Map([...this.boxes.values()].map((box) => [key(this.numbers.get(box.number_id).place), box]));
    for (const one of this.numbers.values()) {
      const box = this.boxes.has(one.number_id) ? null : at.get(key(one.place));
      if (box) this.boxes.set(one.number_id, { ...box, number_id: one.number_id });
    }
  }

  learnBoxes(list) {
    for (const one of list) this.boxes.set(one.number_id, one);
  }

  isOpen(id) { return !DECIDED.has(this.numbers.get(id).state) && !this.sending.has(id); }

  openOf(ids) { return ids.filter((id) => this.isOpen(id)); }

  // Where the ink of a number stands; its place as read until the boxes have come.
  cell(id) { return this.boxes.get(id)?.cell || this.numbers.get(id).place; }

  // Numbers of the same printed row, or under the same heading, on the same page.
  mates(id, side) {
    const own = this.boxes.get(id);
    if (!own) return [id];
    const { page } = this.numbers.get(id).place;
    const same = side === "row" ? (box) => level(box.cell, own.cell) : (box) => over(box.cell, own.cell) && box.heading.bottom === own.heading.bottom;
    return [...this.boxes.values()].filter((box) => this.numbers.get(box.number_id)?.place.page === page && same(box)).map((box) => box.number_id);
  }

  counts(ids) {
    const open = this.openOf(ids).map((id) => this.numbers.get(id).status);
    const of = (status) => open.filter((one) => one === status).length;
    return { open: open.length, agreed: of("agreed"), single: of("single"), disputed: of("disputed"), parts: new Set(ids.map((id) => this.numbers.get(id).part_number)).size };
  }

  // Whether several of these numbers say different things of one and the same: then one of them must be chosen.
  rivals(ids) {
    const values = new Map();
    for (const id of this.openOf(ids)) {
      const one = this.numbers.get(id);
      const slot = [one.part_number, one.quantity, one.kind, one.condition].join("\n");
      if (values.has(slot) && values.get(slot) !== one.value) return true;
      values.set(slot, one.value);
    }
    return false;
  }

  openCauses() { return this.causes.filter((cause) => cause.number_ids.some((id) => this.isOpen(id))); }

  // Decisions in the order they were made: each with its numbers, however many parts they are of.
  steps() {
    const steps = [];
    const said = [...this.numbers.values()].filter((one) => one.decided_at && !GONE.has(one.state)).sort((a, b) => a.decided_at.localeCompare(b.decided_at));
    for (const one of said) {
      const last = steps[steps.length - 1];
      const near = last && Date.parse(one.decided_at) - Date.parse(last.at) < ONE_STEP_MS;
      const same = last && (last.at === one.decided_at || (near && last.because && last.because === one.because && last.who === one.decided_by));
      if (same) { last.ids.push(one.number_id); last.at = one.decided_at; } else steps.push({ at: one.decided_at, who: one.decided_by, because: one.because, ids: [one.number_id] });
    }
    const words = { answer: "answered", "frame a table": "framed" };
    for (const one of this.later) steps.push({ at: one.at, who: one.who, because: one.reason, ids: [...one.came, ...one.went], word: words[one.action] });
    return steps.sort((a, b) => Date.parse(a.at) - Date.parse(b.at));
  }

  // Whether a number came or went by an answer or a framed table that holds.
  isLater(id) { return this.later.some((one) => one.came.includes(id) || one.went.includes(id)); }
}

const key = ({ page, x0, top }) => `${page} ${x0} ${top}`;
const shared = (a0, a1, b0, b1) => Math.min(a1, b1) - Math.max(a0, b0);
const level = (one, other) => shared(one.top, one.bottom, other.top, other.bottom) >= 0.5 * Math.min(one.bottom - one.top, other.bottom - other.top);
const over = (one, other) => shared(one.x0, one.x1, other.x0, other.x1) >= 0.5 * Math.min(one.x1 - one.x0, other.x1 - other.x0);

export const partName = (one) => (one.part_number === "*" ? "whole series" : one.part_number);
export const meaning = (one) => [one.quantity, one.kind, one.condition].filter(Boolean).join(" ");
