// Keys of the review page: they work wherever the focus is, but for fields in which letters are typed.
import { by } from "./making.js";

const TYPED = "input:not([type=checkbox]), select, textarea, dialog";

export function listen(commands) {
  document.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey || event.target.closest(TYPED)) return;
    const key = /^[1-9]$/.test(event.key) ? "digit" : event.key;
    if (!Object.hasOwn(commands, key)) return;
    if (event.key.length === 1 && !by("keys").checked) return;
    const scrolls = event.key.startsWith("Arrow") && event.target.closest("#sight, [role=tab]");
    if (scrolls) return;
    event.preventDefault();
    commands[key](event);
  });
}
