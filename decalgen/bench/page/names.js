// The names of inks, paints, named values and variants: what uses each, and another name for it.

import { named } from "./adding.js";
import { make } from "./dom.js";

const OPEN = "names";

/** All names, once they are asked for. */
export function names(screen, page) {
  const focus = (key) => document.querySelector(`[data-key="${CSS.escape(key)}"]`)?.focus();
  const turn = () => page.go({ names: screen.names ? "" : "open" }).then(() => focus(OPEN));
  return make("section", { class: "names", "aria-label": "Names" },
    make("button", { "data-key": OPEN, "aria-expanded": String(Boolean(screen.names)), onclick: turn }, "Names of inks, paints, values and variants"),
    screen.names?.map((group) => [make("h3", {}, group.title),
      group.rows.length ? make("ul", {}, group.rows.map((row) => make("li", {}, line(group.what, row, page)))) : null,
      group.said.map((one) => make("p", { class: "quiet" }, one))]));
}

function line(what, row, page) {
  const wrong = make("p", { class: "wrong", role: "alert" });
  const ink = row.colour && make("i", { class: "swatch" });
  if (ink) ink.style.background = row.colour;
  const title = make("b", {}, ink, row.owner ? `${row.name} of ${row.owner}` : row.name);
  return [named(what, row.name, row.owner, page, { title, key: (name) => `rename ${what} ${row.owner} ${name}`, wrong }), make("p", { class: "quiet" }, row.said), wrong];
}
