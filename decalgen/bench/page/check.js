// Check: the findings, errors first, each with the way to where it is; then the decals that nothing is found on, and those
// that wait for readings.

import { fill, make } from "./dom.js";
import { measureIt, showIt } from "./places.js";

export const KEYS = [];

export function show(root, screen, page) {
  const lead = (one) => make("button", { "data-key": `show ${one.subject ?? one.decal} ${one.message ?? ""}`, "aria-label": `Show me ${one.decal || one.subject}`, onclick: () => showIt(one, page) }, "Show me");
  const list = (title, some, each) => (some.length ? make("section", {}, make("h2", {}, title), make("ul", { class: "findings" }, some.map((one) => make("li", { class: one.past && "past" }, each(one))))) : null);
  // A verdict of before a change is never shown as one of now.
  const mark = (one, word, kind) => make("b", { class: one.past ? "quiet" : kind }, one.past ? "before" : word);
  fill(root,
    screen.findings.length ? make("ul", { class: "findings" }, screen.findings.map((one) => make("li", { class: one.past && "past" },
      mark(one, one.severity, one.severity === "note" ? "quiet" : one.severity),
      make("span", { class: "what" }, make("b", {}, one.subject), `: ${one.message}`),
      lead(one),
      one.where ? make("span", { class: "fix fileline" }, make("b", {}, one.where), one.written ? [": ", make("code", {}, one.written)] : "") : null,
      one.fix ? make("span", { class: "fix" }, one.fix) : null))) : null,
    list("Waiting", screen.waiting, (one) => [mark(one, "waits", "warning"), make("span", { class: "what" }, one.text),
      one.ask || one.screen ? make("button", { "data-key": `measure ${one.text}`, "aria-label": `Measure for ${one.decal}`, onclick: () => (one.ask ? measureIt(one.ask, page) : page.go({ screen: one.screen })) }, "Measure") : null]),
    list("In order", screen.fits, (one) => [mark(one, "✓", "good"), make("span", { class: "what" }, one.text), one.decal ? lead(one) : null]));
}
