// What the job says of itself, and all its names in one place: inks with what each is, paints, named values and variants.

import { named } from "./adding.js";
import { make, reason } from "./dom.js";
import { choice, field, form } from "./fields.js";
import { blank, rows, wrongWords } from "./sentence.js";
import { telling } from "./told.js";

/** The section as it is unfolded. */
export function names(screen, page) {
  const found = screen.paint_job;
  const [box, say] = wrongWords("wrong-ink");
  const { job } = page.view;
  const change = (one, to) => page.ask("/edit", { label: one.label, edits: [{ do: to ? "set" : "remove", at: one.at, was: one.raw, ...(to && { to }) }] });
  const colours = make("datalist", { id: "colour-names" }, found.colours.map((one) => make("option", { value: one })));
  return [
    rows(found.rows, (one) => blank(one, say, change)), box,
    make("h3", {}, "Inks"), make("ul", { class: "inks" }, found.inks.map((one) => ink(one, page, say))),
    form(page, "/do/draw/add_ink", { label: "New ink", button: "Add an ink" },
      field("ink name", "name", { job, title: "What you call it in this job, such as signal red." }),
      field("ink colour", "colour", { job, list: "colour-names", help: "Its name, or as #e8641b; how it looks on white paper." }),
      choice("ink kind", "kind", found.kinds, { job, title: "Mixed by the printer, or an ink of its own, such as white or a metallic." })), colours,
    screen.names.map((group) => [make("h3", {}, group.title),
      group.rows.length ? make("ul", {}, group.rows.map((row) => make("li", {}, line(group.what, row, page)))) : null,
      group.said.map((one) => make("p", { class: "quiet" }, one))]),
  ];
}

function ink(one, page, say) {
  const set = (of, to) => page.ask("/do/draw/set_ink", { name: one.name, key: of.label, to, was: of.raw ?? null });
  const away = async () => {
    const failed = await page.ask("/do/draw/delete_ink", { name: one.name });
    say(failed && { message: reason(failed) });
    if (!failed) document.querySelector('[data-key="names"]')?.focus();
  };
  const own = one.blanks.length > 0; // of this file
  const title = make("b", {}, swatch(one.colour), one.name);
  const [wrong, tell] = telling(`ink ${one.name}`);
  return make("li", {},
    own ? named("ink", one.name, "", page, { title, key: (name) => `rename ink  ${name}`, tell, acts: [
      make("button", { "data-key": `delete ink ${one.name}`, "aria-label": `Delete the ink ${one.name}`, onclick: away }, "Delete")] }) : [title, make("span", { class: "quiet" }, one.kind)],
    one.blanks.map((of) => make("span", {}, make("span", { class: "quiet" }, `${of.label} `), blank(of, say, set))),
    make("p", { class: "uses quiet" }, one.said), wrong);
}

function line(what, row, page) {
  const [wrong, tell] = telling(`${what} ${row.owner} ${row.name}`);
  const title = make("b", {}, row.colour && swatch(row.colour), row.owner ? `${row.name} of ${row.owner}` : row.name);
  return [named(what, row.name, row.owner, page, { title, key: (name) => `rename ${what} ${row.owner} ${name}`, tell }), make("p", { class: "quiet" }, row.said), wrong];
}

function swatch(colour) {
  const made = make("i", { class: "swatch" });
  made.style.background = colour;
  return made;
}
