// Print: the sheet for film, from the very positions that were proven.

import { fill, make, reason } from "./dom.js";
import { files, leads } from "./files.js";

export function show(root, screen, page) {
  const wrong = make("p", { class: "wrong", role: "alert" });
  const cut = make("input", { type: "checkbox", "data-key": "cut", title: "A file for a cutting plotter, beside the sheet." });
  const form = make("form", { class: "line", onsubmit: async (event) => {
    event.preventDefault();
    const failed = await page.ask("/do/print_film/make", { cut: cut.checked });
    fill(wrong, reason(failed));
  } },
    make("label", { class: "tick" }, cut, "a cutting file too"),
    make("button", { class: "main", "data-key": "make", disabled: Boolean(screen.busy) || screen.waits.length > 0 }, screen.busy ? `${screen.busy} ...` : "Make the sheet for film"));
  fill(root, leads(screen, page), form, wrong, screen.past ? make("p", { class: "warning" }, screen.past) : null, files(screen.made));
}
