// Asks why: a finding shall be raised no more, or a silence is taken back.
import { by, shown } from "./making.js";

const SILENCE = ["The source really says so?", "Silence it", "The library remembers it with your name, and this finding is raised no more, here and by holdtrip check, as long as the value stays the same."];
const TAKE_BACK = ["Raise it again?", "Take it back", "The finding is raised again by the next check, here and by holdtrip check. Both steps stay in the history."];

export const askSilence = (one) => askWhy(`${one.cell || `row ${one.row}`} ${one.column} ${one.part_number}: ${one.message} (${one.code})`, SILENCE);
export const askTakeBack = (one) => askWhy(`${one.code} of ${one.part_number || "the table"}: ${one.value} (silenced by ${one.who}: ${one.reason})`, TAKE_BACK);

// Resolves to the reason, or null when nothing shall be done.
function askWhy(about, [title, yes, then]) {
  const dialog = by("ask");
  by("ask-title").textContent = title;
  by("ask-yes").textContent = yes;
  by("ask-then").textContent = then;
  by("ask-about").textContent = shown(about);
  by("reason").value = by("ask-refused").textContent = "";
  by("reason").oninput = () => { by("ask-refused").textContent = ""; };
  dialog.showModal();
  by("reason").focus();
  return new Promise((resolve) => {
    const answer = (said) => { dialog.close(); by("ask-yes").onclick = by("ask-no").onclick = dialog.oncancel = null; resolve(said); };
    by("ask-no").onclick = () => answer(null);
    dialog.oncancel = (event) => { event.preventDefault(); answer(null); };
    by("ask-yes").onclick = (event) => {
      event.preventDefault();
      const reason = by("reason").value.trim();
      if (reason) answer(reason); else by("ask-refused").textContent = "Say why: others must be able to follow.";
    };
  });
}
