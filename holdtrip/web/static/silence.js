// Asks why a finding shall be raised no more: the source really says so.
import { by, shown } from "./making.js";

// Resolves to the reason, or null when nothing shall be done.
export function askSilence(one) {
  const dialog = by("ask");
  by("ask-about").textContent = shown(`${one.cell || `row ${one.row}`} ${one.column} ${one.part_number}: ${one.message} (${one.code})`);
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
