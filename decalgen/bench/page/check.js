// Check: the findings, errors first, each with the way to where it is.

import { fill, make } from "./dom.js";

export function show(root, screen, page) {
  if (!screen.findings.length) {
    fill(root);
    return;
  }
  fill(root, make("ul", { class: "findings" }, screen.findings.map((one) => make("li", {},
    make("b", { class: one.severity === "note" ? "quiet" : one.severity }, one.severity),
    make("span", { class: "what" }, make("b", {}, one.subject), `: ${one.message}`),
    one.decal ? make("button", { onclick: () => page.go({ screen: "draw", panel: one.panel, decal: one.decal }) }, "Show me") : make("span", {}, one.line ? `line ${one.line}` : ""),
    one.fix ? make("span", { class: "fix" }, one.fix) : null))));
}
