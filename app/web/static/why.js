// Asks for the reason of a correction or a rejection, and for the right value of a correction.
import { by, shown } from "./making.js";

// Resolves to { reason, value } or null when nothing shall be done.
export function askWhy(title, one, withValue) {
  const dialog = by("ask");
  by("ask-title").textContent = title;
  by("ask-about").textContent = shown(`${[one.part_number, one.quantity, one.kind, one.condition].filter(Boolean).join(" ")}: read as ${one.shown}, printed “${one.raw}”`);
  by("value-line").hidden = !withValue;
  by("value-label").textContent = `Right value in ${one.unit}`;
  by("value").value = withValue ? one.value : "";
  by("reason").value = "";
  by("ask-refused").textContent = "";
  by("value").oninput = by("reason").oninput = () => { by("ask-refused").textContent = ""; };
  dialog.showModal();
  (withValue ? by("value") : by("reason")).select();
  return new Promise((resolve) => {
    const answer = (said) => { dialog.close(); by("ask-yes").onclick = by("ask-no").onclick = dialog.oncancel = null; resolve(said); };
    by("ask-no").onclick = () => answer(null);
    dialog.oncancel = (event) => { event.preventDefault(); answer(null); };
    by("ask-yes").onclick = (event) => {
      event.preventDefault();
      const said = { reason: by("reason").value.trim() };
      if (withValue) said.value = textToValue(by("value").value);
      const wrong = withValue && !(said.value > 0) ? "The value is a plain number above 0, with a point." : said.reason ? "" : "Say why: others must be able to follow.";
      by("ask-refused").textContent = wrong;
      if (!wrong) answer(said);
    };
  });
}

function textToValue(text) {
  return /^\d*\.?\d+(e[-+]?\d+)?$/i.test(text.trim()) ? Number(text) : NaN;
}
