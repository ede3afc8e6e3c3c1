// The measuring card on paper: what makes it, and the file once it is made.

import { make } from "./dom.js";
import { choice, form as sender } from "./fields.js";
import { files } from "./files.js";

/** The measuring card, to print and take to the bench. */
export function card(screen, page) {
  return make("details", { open: Boolean(screen.card.groups) }, make("summary", {}, "The measuring card on paper"),
    make("p", { class: "quiet" }, "A drawing and a box for each reading, to fill in beside the model."),
    sender(page, "/do/measure/card", { label: "Measuring card", button: "Make the card", quiet: true },
      choice("card paper", "Paper", screen.papers, { title: "The paper in your printer." })),
    screen.card.groups || screen.card.wrong ? files(screen.card) : null);
}
