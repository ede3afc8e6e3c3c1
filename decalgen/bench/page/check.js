// Check: the findings, errors first, each with the way to where it is; then the decals that nothing is found on.

import { fill, make } from "./dom.js";

export function show(root, screen, page) {
  const lead = (one) => make("button", { "data-key": `show ${one.decal} ${one.message ?? ""}`, "aria-label": `Show me ${one.decal}`, onclick: () => page.go({ screen: "draw", panel: one.panel, decal: one.decal }) }, "Show me");
  fill(root,
    screen.findings.length ? make("ul", { class: "findings" }, screen.findings.map((one) => make("li", {},
      make("b", { class: one.severity === "note" ? "quiet" : one.severity }, one.severity),
      make("span", { class: "what" }, make("b", {}, one.subject), `: ${one.message}`),
      one.decal ? lead(one) : make("span", {}, one.line ? `line ${one.line}` : ""),
      one.fix ? make("span", { class: "fix" }, one.fix) : null))) : null,
    screen.fits.length ? make("section", {}, make("h2", {}, "In order"), make("ul", { class: "findings" }, screen.fits.map((one) => make("li", {},
      make("b", { class: "good" }, "✓"), make("span", { class: "what" }, one.text), one.decal ? lead(one) : null)))) : null);
}
