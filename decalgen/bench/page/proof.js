// Proof: get it, print it at 100 %, type its code and what its bars measure.

import { fill, make } from "./dom.js";
import { choice } from "./fields.js";
import { files, leads } from "./files.js";
import { refused, telling } from "./told.js";

const JUDGED = "proof judged";

export function show(root, screen, page) {
  const [wrong, tell] = telling("proof");
  if (screen.waits.length) {
    fill(root, leads(screen, page));
    return;
  }
  const get = make("form", { class: "line", onsubmit: async (event) => { event.preventDefault(); tell(await page.ask("/do/proof/make")); } },
    make("button", { class: "main", "data-key": "make", disabled: Boolean(screen.busy) }, screen.busy ? `${screen.busy} ...` : screen.there ? "Make the proof again" : "Make the proof"),
    make("p", { class: "quiet" }, `Film: ${screen.films}. `, make("button", { type: "button", class: "plain", "data-key": "to sheet", onclick: () => page.go({ screen: "sheet" }) }, "It is chosen on Sheet")));
  const since = screen.changed.length ? make("p", { class: "warning" }, `Changed since this proof: ${screen.changed.join("; ")}.`) : null;
  fill(root, get, since, wrong, files(screen.made), screen.there && !screen.changed.length ? readings(screen, page) : null, verdict(screen.verdict));
}

function readings(screen, page) {
  const [wrong, tell] = telling(JUDGED);
  const field = (key, words) => make("label", {}, make("span", {}, words), make("input", { "data-key": key, autocomplete: "off", spellcheck: "false", value: sessionStorage[`proof ${key}`] ?? "", "data-was": "", oninput: (event) => { sessionStorage[`proof ${key}`] = event.target.value; } }));
  const boxes = { code: field("code", "Code on the paper"), x: field("x", "Horizontal bar, mm"), y: field("y", "Vertical bar, mm"), sheet: field("sheet", "Sheet (1 if left empty)") };
  const tool = choice("proof tool", "Measured with", screen.tools, { title: "The instrument sets how far each reading is trusted." });
  const value = (key) => boxes[key].querySelector("input").value.trim();
  return make("div", {},
    make("h2", {}, "Then"), make("ol", { class: "shapes" }, screen.how.map((one) => make("li", {}, one))),
    make("form", { class: "line", onsubmit: async (event) => {
      event.preventDefault();
      tell(await page.ask("/do/proof/judge", { code: value("code"), x: value("x"), y: value("y"), sheet: value("sheet") || "1", tool: tool.querySelector("select").value }));
      document.querySelectorAll(".before").forEach((one) => { one.hidden = !refused(JUDGED); });
    } },
      Object.values(boxes), tool, make("button", { class: "main", "data-key": "judge" }, "Judge it")), wrong);
}

function verdict(found) {
  if (found.unsure) return make("p", { class: "quiet" }, found.unsure);
  if (!found.word) return null;
  return make("section", { "aria-label": "Verdict" },
    make("h2", { class: found.word === "passed" ? "good" : "error" }, found.word === "passed" ? "Passed" : found.word[0].toUpperCase() + found.word.slice(1)),
    make("p", { class: "warning before", hidden: !refused(JUDGED) }, found.before),
    make("ul", {}, found.lines.map((line) => make("li", {}, line))));
}
