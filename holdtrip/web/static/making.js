// Makes elements. Text only ever becomes text: nothing from a datasheet is read as markup.
export function make(tag, attributes = {}, ...children) {
  const element = tag.startsWith("svg:")
    ? document.createElementNS("http://www.w3.org/2000/svg", tag.slice(4))
    : document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (name.startsWith("on")) element.addEventListener(name.slice(2), value);
    else if (value !== undefined && value !== null && value !== false) element.setAttribute(name, value);
  }
  element.append(...children.map((child) => (child instanceof Node ? child : shown(child))));
  return element;
}

// Characters that a browser would obey or hide (direction overrides, zero width, controls) are shown as their code.
export function shown(text) {
  return String(text ?? "").replace(/[\p{Cc}\p{Cf}\p{Co}\p{Cs}]/gu, (one) =>
    /\s/.test(one) ? " " : `<U+${one.codePointAt(0).toString(16).toUpperCase().padStart(4, "0")}>`);
}

export const by = (id) => document.getElementById(id);

export function tell(text, refused = false) {
  const line = make("p", { class: refused ? "refused" : undefined }, text);
  by("said").replaceChildren(line);
  setTimeout(() => line.remove(), refused ? 12000 : 5000);
}

export const time = (text) => text.slice(0, 16).replace("T", " ");

export const state = (word) => make("span", { class: "state" }, word);

export const counted = (count, noun) => `${count} ${noun}${count === 1 ? "" : "s"}`;

// A number's value: as read or, where a person corrected it, struck through beside the right one.
export function value(one) {
  if (!one.corrected) return [shown(one.shown)];
  return [make("del", { "aria-label": `read as ${one.shown}` }, one.shown), " ", make("ins", { "aria-label": `corrected to ${one.corrected}` }, one.corrected)];
}

export function range(low, high) {
  if (low === null || low === undefined) return "";
  return low === high ? String(low) : `${low} – ${high}`;
}
