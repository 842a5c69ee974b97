// Remembers, in this browser only, who signs changes.
import { by } from "./making.js";

const field = by("who");
// A name that a token gives is not typed.
field.value = (field.readOnly ? "" : localStorage.getItem("who")) || field.dataset.default;
field.addEventListener("input", () => { localStorage.setItem("who", field.value.trim()); check(); });
const check = () => { if (field.value.trim()) field.removeAttribute("aria-invalid"); else field.setAttribute("aria-invalid", "true"); };
check();
export const who = () => field.value.trim();
