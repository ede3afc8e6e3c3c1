// Print: the sheet for film, from the very positions that were proven.

import { fill, make } from "./dom.js";
import { files, leads } from "./files.js";
import { once, single } from "./once.js";
import { printing } from "./printing.js";
import { telling } from "./told.js";

export function show(root, screen, page) {
  const [wrong, tell] = telling("print film");
  const cut = make("input", { type: "checkbox", "data-key": "cut", title: "A file for a cutting plotter, beside the sheet." });
  const form = make("form", { class: "line", onsubmit: (event) => {
    event.preventDefault();
    once(page, "print film", async () => tell(await page.ask("/do/print_film/make", { cut: cut.checked })));
  } },
    make("label", { class: "tick" }, cut, "a cutting file too"),
    make("button", { class: "main", "data-key": "make", onclick: single(), disabled: Boolean(screen.busy) || screen.waits.length > 0 }, screen.busy && !screen.printing?.busy ? `${screen.busy} ...` : "Make the sheet for film"));
  fill(root, leads(screen, page), screen.printed ? null : form, wrong, screen.past ? make("p", { class: "warning" }, screen.past) : null, files(screen.made),
    printing(screen.printing, page, "/do/print_film", "the sheet on film"));
}
