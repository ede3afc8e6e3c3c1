// Inks and paint: what the job says of itself as blanks; inks that come, change and go.

import { make, reason } from "./dom.js";
import { choice, field, form } from "./fields.js";
import { blank, rows, wrongWords } from "./sentence.js";

let open = false; // whether the section is unfolded

export function inks(screen, page) {
  const found = screen.paint_job;
  if (!found) return null;
  const [box, say] = wrongWords();
  box.id = "wrong-ink";
  const change = (one, to) => page.ask("/edit", { label: one.label, edits: [{ do: to ? "set" : "remove", at: one.at, was: one.raw, ...(to && { to }) }] });
  const names = make("datalist", { id: "colour-names" }, found.colours.map((one) => make("option", { value: one })));
  return make("details", { class: "inkpaint", open, ontoggle: (event) => { open = event.target.open; } },
    make("summary", { "data-key": "inks and paint" }, "Inks and paint"),
    rows(found.rows, (one) => blank(one, say, change)), box,
    make("ul", { class: "inks" }, found.inks.map((one) => ink(one, page, say))),
    form(page, "/do/draw/add_ink", { label: "New ink", button: "Add an ink" },
      field("ink name", "name", { title: "What you call it in this job, such as signal red." }),
      field("ink colour", "colour", { list: "colour-names", help: "Its name, or as #e8641b; how it looks on white paper." }),
      choice("ink kind", "kind", found.kinds, { title: "Mixed by the printer, or an ink of its own, such as white or a metallic." })), names);
}

function ink(one, page, say) {
  const set = (of, to) => page.ask("/do/draw/set_ink", { name: one.name, key: of.label, to, was: of.raw ?? null });
  const swatch = make("i", { class: "swatch" });
  swatch.style.background = one.colour;
  const away = async () => {
    const failed = await page.ask("/do/draw/delete_ink", { name: one.name });
    say(failed && { message: reason(failed) });
    if (!failed) document.querySelector('[data-key="inks and paint"]')?.focus();
  };
  return make("li", {}, swatch, make("b", {}, one.name), one.kind && make("span", { class: "quiet" }, one.kind),
    one.blanks.map((of) => make("span", {}, make("span", { class: "quiet" }, `${of.label} `), blank(of, say, set))),
    one.blanks.length > 0 && make("button", { class: "away", "data-key": `delete ink ${one.name}`, "aria-label": `Delete the ink ${one.name}`, onclick: away }, "Delete"),
    make("p", { class: "uses quiet" }, one.said));
}
