// Files that were made, by what they are for, and what is said of them.

import { make } from "./dom.js";

export function files(made) {
  if (!made?.groups) return null;
  if (made.wrong) return make("pre", { class: "wrong" }, made.wrong);
  return make("div", {},
    made.groups.map((group) => make("p", {}, make("b", {}, group.what), ": ", group.files.map((name, n) => [n ? ", " : "", make("a", { href: `/file/${encodeURIComponent(name)}`, download: name }, name)]))),
    make("details", {}, make("summary", {}, "What was done"), make("pre", {}, made.lines.join("\n"))));
}

/** What a screen waits for, instead of what it would offer. */
export function waiting(screen) {
  return screen.waits.length ? make("p", { class: "warning" }, `Locked. It waits for: ${screen.waits.join(", ")}.`) : null;
}
