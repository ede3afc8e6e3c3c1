// A file that is dropped beside where it goes: the browser would open it in place of the page.

import { say } from "./passing.js";

/** Says where files are to be dropped, and keeps the page. */
export function catchStrays() {
  for (const kind of ["dragover", "drop"]) addEventListener(kind, (event) => {
    if (event.defaultPrevented || !event.dataTransfer?.types.includes("Files")) return;
    event.preventDefault();
    if (kind === "drop") say("A drawing, picture or font goes onto the drawing of a panel: drop it there, on Draw.");
  });
}
