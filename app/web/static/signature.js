// Remembers, in this browser only, who signs changes.
import { by } from "./making.js";

const field = by("who");
field.value = localStorage.getItem("who") || field.dataset.default;
field.addEventListener("input", () => localStorage.setItem("who", field.value.trim()));
export const who = () => field.value.trim();
