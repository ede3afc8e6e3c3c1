// What was read from a scan: each value with its ± and how much of its edges is left, its colours, and the way into the job.

import { capital, make } from "./dom.js";
import { draft, drafting, drop } from "./drafts.js";
import { once, press, single } from "./once.js";
import { telling } from "./told.js";

/** The values, each to be typed over, those in doubt to be taken as read. */
export function values(screen, page) {
  const { read, picture: one } = screen;
  return make("section", { "aria-label": "Values" },
    make("h2", {}, capital(read.head)),
    read.doubts.map((doubt) => make("p", { class: "warning" }, capital(doubt))),
    make("table", { class: "values" },
      make("thead", {}, make("tr", {}, ["", "as read, ±", "edges left", "yours"].map((words) => make("th", { scope: "col" }, words)))),
      make("tbody", {}, read.rows.map((row) => value(row, one, page)))),
    read.remarks.map((words) => make("p", { class: "quiet" }, capital(words))),
    make("p", { class: "quiet" }, `The fit explains ${read.score} of the edges${read.others.length ? `; ${read.others.map(([kind, score]) => `${kind} ${score}`).join(", ")}` : ""}. ± is the expanded uncertainty, k = 2.`));
}

function value(row, one, page) {
  const key = `value ${one.key} ${row.name}`;
  const [wrong, tell] = telling(key, { stays: true });
  const box = row.fixed ? null : drafting(key, make("input", {
    value: row.typed, "data-was": row.typed, "data-key": key, "aria-label": `Your ${row.name}`, inputmode: row.count ? "numeric" : "decimal", autocomplete: "off", spellcheck: "false",
    title: row.count ? "How many there were, where you know better." : "As you measured it, in mm or with a unit; a ± may follow.", onchange: async () => {
      if (box.value.trim() === row.typed) return drop(key);
      const failed = await page.ask("/do/originals/value", { name: row.name, to: box.value.trim() });
      if (!failed) drop(key);
      tell(failed);
    },
  }));
  const open = row.flag && !row.taken;
  return [
    make("tr", { class: open ? "open" : "" }, make("th", { scope: "row" }, row.name), make("td", {}, row.typed ? make("b", {}, row.value) : row.value), make("td", {}, make("span", { class: "left-over" }, row.left)), make("td", {}, box)),
    row.flag ? make("tr", { class: "flag" }, make("td", { colspan: 4 }, make("span", { class: open ? "warning" : "quiet" }, capital(row.flag), ". "),
      make("button", { class: "plain", "data-key": `take ${row.name}`, onclick: () => page.ask("/do/originals/take", { name: row.name }) }, row.taken ? "It is in doubt" : "Take it as read"))) : null,
    make("tr", { class: "refused" }, make("td", { colspan: 4 }, wrong)),
  ];
}

/** The colours, each with the ink it is taken for, and what corrects them. */
export function colours(screen, mode, again, say, spots) {
  const { read, picture: one } = screen;
  const patch = ([what, words]) => make("li", {}, make("button", { "data-key": `patch ${what}`, "aria-pressed": String(Boolean(one.said[what])), onclick: () => again({ what }) }, capital(words)),
    one.said[what] ? make("button", { class: "plain", "data-key": `no ${what}`, "aria-label": `Leave out ${words}`, onclick: () => say({ [what]: "" }) }, "leave it out") : null);
  return make("section", { "aria-label": "Colours" }, make("h2", {}, `Colours, ${read.colours}`),
    make("ul", { class: "inks" }, read.inks.map((ink, n) => {
      const swatch = make("i", { class: "swatch" });
      swatch.style.background = ink.colour;
      return make("li", {}, swatch, `${ink.colour}: `, ink.ink ? make("b", {}, ink.ink) : `a new ink, as scanned (${n + 1})`);
    })),
    make("details", { open: Object.keys(spots).some((what) => one.said[what]) }, make("summary", {}, "Correct them by what lies beside it"),
      make("p", { class: "quiet" }, "A white and a black patch take out the cast of the scanner, a spot that was white once the yellow of age. What has faded stays faded."),
      make("ul", { class: "inks" }, Object.entries(spots).map(patch))));
}

/** Into the job: on which panel, by which name, on which hands. */
export function adding(screen, page) {
  const one = screen.picture;
  if (!screen.panels.length) return make("section", { class: "into" }, make("h2", {}, "Add it to the job"), make("p", { class: "quiet" }, "The job has no panel yet: add one on Measure first."), make("button", { "data-key": "to measure", onclick: () => page.go({ screen: "measure", adding: "" }) }, "Go to Measure"));
  const [wrong, tell] = telling(`add original ${one.key}`, { stays: true });
  const panel = make("select", { "data-key": "add panel", title: "The panel that it goes on.", onchange: () => { sessionStorage.original = panel.value; see(); } },
    screen.panels.map(({ name }) => make("option", { value: name, selected: name === (sessionStorage.original ?? page.view.panel) }, name)));
  const key = `original name ${one.key}`;
  const name = drafting(key, make("input", { "data-key": "add name", "data-was": "", placeholder: `${screen.read.kind} of ${panel.value}`, title: "What the decal is called in the job.", autocomplete: "off" }));
  const both = make("input", { type: "checkbox", checked: true, "data-key": "add both", title: "Mirrored on the right-hand side; lettering is not mirrored." });
  const tick = make("label", { class: "tick" }, both, "on both sides of the model");
  const see = () => {
    name.placeholder = `${screen.read.kind} of ${panel.value}`;
    tick.hidden = !screen.panels.find((other) => other.name === panel.value)?.sided;
  };
  see();
  const left = screen.open.length;
  return make("section", { class: "into", "aria-label": "Into the job" }, make("h2", {}, "Add it to the job"),
    make("form", { class: "line", onsubmit: (event) => {
      event.preventDefault();
      once(page, "add original", async () => {
        const typed = name.value;
        const failed = await page.ask("/do/originals/add", { panel: panel.value, name: typed, both: both.checked && !tick.hidden });
        if (!failed && draft(key) === typed) drop(key);
        tell(failed);
      });
    } },
      make("label", {}, make("span", {}, "Panel"), panel), make("label", {}, make("span", {}, "Name of the decal"), name), tick,
      left ? make("p", { class: "warning" }, `${left === 1 ? "A value is" : `${left} values are`} still in doubt: ${left === 1 ? "it goes" : "they go"} in as read, with a note.`) : null,
      make("button", { class: "main", "data-key": "add original", onclick: single() }, screen.added.length ? "Add it once more" : "Add to the job")), wrong,
    screen.added.map(([decal, panel]) => make("p", { class: "good added" }, `'${decal}' is on ${panel}. `, make("button", { "data-key": `see ${decal}`, onclick: press(page, `see ${decal}`, () => page.go({ screen: "draw", panel, decal })) }, "See it on Draw"))));
}
