// Print: the sheet for film, from the very positions that were proven.

import { fill, make } from "./dom.js";
import { files, waiting } from "./files.js";

export function show(root, screen, page) {
  const wrong = make("p", { class: "wrong", role: "alert" });
  const cut = make("input", { type: "checkbox", "data-key": "cut", title: "A file for a cutting plotter, beside the sheet." });
  const form = make("form", { class: "line", onsubmit: async (event) => {
    event.preventDefault();
    const failed = await page.ask("/do/print_film/make", { cut: cut.checked });
    wrong.textContent = failed ? (failed.fix ? `${failed.message}: ${failed.fix}` : failed.message) : "";
  } },
    make("label", { class: "tick" }, cut, "a cutting file too"),
    make("button", { class: "main", "data-key": "make", disabled: Boolean(screen.busy) || screen.waits.length > 0 }, screen.busy ? `${screen.busy} ...` : "Make the sheet for film"));
  fill(root, waiting(screen), form, wrong, files(screen.made));
}
