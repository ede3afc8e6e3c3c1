// Proof: get it, print it at 100 %, type its code and what its bars measure.

import { capital, fill, make } from "./dom.js";
import { draft, drop, note } from "./drafts.js";
import { choice } from "./fields.js";
import { files, leads } from "./files.js";
import { once, single } from "./once.js";
import { printing } from "./printing.js";
import { byScan, TOLD } from "./proof_scan.js";
import { refused, telling } from "./told.js";

const JUDGED = "proof judged";
const BAR = "How long it measures on the paper; several readings with spaces between.";

export function show(root, screen, page) {
  const [wrong, tell] = telling("proof");
  if (screen.waits.length) {
    fill(root, leads(screen, page));
    return;
  }
  // What is printed is neither made nor measured again: a new nest comes first.
  const printed = screen.printed;
  const get = printed ? null : make("form", { class: "line", onsubmit: (event) => { event.preventDefault(); once(page, "proof", async () => tell(await page.ask("/do/proof/make"))); } },
    make("button", { class: "main", "data-key": "make", onclick: single(), disabled: Boolean(screen.busy) }, screen.busy && !screen.printing?.busy && !screen.scan.busy ? `${screen.busy} ...` : screen.there ? "Make the proof again" : "Make the proof"),
    make("p", { class: "quiet" }, `Film: ${screen.films}. `, make("button", { type: "button", class: "plain", "data-key": "to sheet", onclick: () => page.go({ screen: "sheet" }) }, "It is chosen on Sheet")));
  const since = screen.changed.length ? make("p", { class: "warning" }, `Changed since this proof: ${screen.changed.join("; ")}.`) : null;
  fill(root, get, since, wrong, files(screen.made), printing(screen.printing, page, "/do/proof", "the proof"), screen.there && !screen.changed.length && !printed ? readings(root, screen, page) : null, verdict(screen));
}

function readings(root, screen, page) {
  const [wrong, tell] = telling(JUDGED);
  // What was judged stays in its box too, as long as the tab is open.
  const typed = (key) => draft(`proof ${key}`) ?? sessionStorage[`proof ${key}`] ?? "";
  const keep = (key, text) => {
    sessionStorage[`proof ${key}`] = text;
    note(`proof ${key}`, text);
  };
  const field = (key, words, title) => make("label", {}, make("span", {}, words), make("input", { "data-key": key, title, autocomplete: "off", spellcheck: "false", value: typed(key), "data-was": "", oninput: (event) => keep(key, event.target.value) }));
  const boxes = { code: field("code", "Code on the paper", "The five letters that are printed large on the proof: they tell that it is this one."), x: field("x", "Horizontal bar, mm", BAR), y: field("y", "Vertical bar, mm", BAR), sheet: field("sheet", "Sheet (1 if left empty)", "Which sheet of the proof you measured, by the number that stands on it.") };
  const tool = choice("proof tool", "Measured with", screen.tools, { title: "The instrument sets how far each reading is trusted." });
  const value = (key) => boxes[key].querySelector("input").value.trim();
  const used = (keys) => keys.forEach((key) => drop(`proof ${key}`));
  return make("div", {},
    make("h2", {}, "Then"), make("ol", { class: "shapes" }, screen.how.map((one) => make("li", {}, one))),
    make("form", { class: "line", onsubmit: (event) => { event.preventDefault(); once(page, JUDGED, judge); } },
      Object.values(boxes), tool, make("button", { class: "main", "data-key": "judge", onclick: single() }, "Judge it")), wrong,
    byScan(root, screen, page, () => ({ code: value("code"), sheet: value("sheet") }), () => used(["code", "sheet"])));
  async function judge() {
    const failed = await page.ask("/do/proof/judge", { code: value("code"), x: value("x"), y: value("y"), sheet: value("sheet") || "1", tool: tool.querySelector("select").value });
    if (!failed) used(Object.keys(boxes));
    tell(failed);
    document.querySelectorAll(".before").forEach((one) => { one.hidden = !refused(JUDGED); });
  }
}

function verdict({ verdict: found, scan }) {
  if (found.unsure) return make("p", { class: "quiet" }, found.unsure);
  if (!found.word) return null;
  return make("section", { "aria-label": "Verdict" },
    make("h2", { class: { passed: "good", "cannot tell": "warning" }[found.word] ?? "error" }, capital(found.word)),
    make("p", { class: "warning before", hidden: !refused(JUDGED) }, found.before),
    scan.wrong || refused(TOLD) ? make("p", { class: "warning" }, scan.before) : null,
    make("ul", {}, found.lines.map((line) => make("li", {}, line))));
}
