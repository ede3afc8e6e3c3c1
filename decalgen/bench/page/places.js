// The way from a finding to its place or its reading.

import { make } from "./dom.js";

let shown = null; // the finding that is marked, with the version of the text it was found in

/** Goes to where a finding is. `areas`: left, lower, right and upper side, mm, in the decal's coordinates. */
export function showIt(one, page) {
  if (one.ask && !one.decal) return measureIt(one.ask, page, one);
  if (!one.decal && one.go) return page.go(one.go);
  shown = one.message ? { ...one, version: page.version } : null;
  return page.go({ screen: "draw", panel: one.panel, decal: one.decal, hand: one.hand ?? "" });
}

/** Goes to the question of a reading. */
export function measureIt(at, page, one = null) {
  sessionStorage.asking = JSON.stringify(at);
  shown = one && { ...one, version: page.version };
  return page.go({ screen: "measure", adding: "" });
}

/** The finding that is marked, as long as nothing was changed since; `decal` or `ask` say where one looks. */
export function marked(page, decal, ask = null) {
  if (shown && shown.version !== page.version) shown = null;
  if (!shown) return null;
  const there = decal ? shown.decal === decal : JSON.stringify(shown.ask) === JSON.stringify(ask);
  return there ? shown : null;
}

/** The words of the finding that is marked, with its line of the file. */
export function told(one) {
  return one && make("div", { class: "marked", role: "note" },
    make("p", {}, make("b", { class: one.severity === "note" ? "quiet" : one.severity }, one.severity), ` ${one.subject}: ${one.message}`),
    one.fix ? make("p", { class: "quiet" }, one.fix) : null,
    one.where ? make("p", { class: "quiet fileline" }, make("b", {}, one.where), one.written ? [": ", make("code", {}, one.written)] : "") : null);
}
