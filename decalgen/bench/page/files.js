// Files that were made, by what they are for, and what is said of them.

import { make, words } from "./dom.js";

export function files(made) {
  if (!made?.groups) return null;
  if (made.wrong) return make("pre", { class: "wrong", tabindex: "0", role: "region", "aria-label": "What went wrong" }, words([made.wrong, made.fix].filter(Boolean).join("\n")));
  return make("div", {},
    made.groups.map((group) => make("p", {}, make("b", {}, group.what), ": ", group.files.map((name, n) => [n ? ", " : "", make("a", { href: `/file/${encodeURIComponent(name)}`, download: name }, name)]))),
    made.lines.length ? make("details", {}, make("summary", {}, "What was done"), make("pre", { tabindex: "0", role: "region", "aria-label": "What was done" }, words(made.lines.join("\n")))) : null);
}

/** The ways to what a screen waits for, which its opening sentence tells. */
export function leads(screen, page) {
  if (!screen.leads.length) return null;
  return make("p", { class: "tools" }, screen.leads.map((one) => make("button", { "data-key": `lead ${one.screen}`, onclick: () => page.go({ screen: one.screen }) }, `Go to ${one.name}`)));
}
