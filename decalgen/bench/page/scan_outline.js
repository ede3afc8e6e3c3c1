// A panel read from a scan of its template, or from a photo: its corners while they are set, what was read, and the way into
// the job.

import { capital, make } from "./dom.js";
import { draft, drafting, drop, note } from "./drafts.js";
import { once, single } from "./once.js";
import { telling } from "./told.js";

const SIDES = [["", "as it is seen"], ["line", "a line"], ["arc", "an arc"]];

/** The corners as they were set, said last, or found: each x, y, whether it is round, and the side after it. */
export function pointsOf({ picture: one, outline: read }) {
  const noted = draft(`points ${one.key}`);
  if (noted) return JSON.parse(noted);
  return one.said.points.length ? one.said.points : (read?.offer ?? []).map((at) => [...at]);
}

/** The corners while they are set: which are round, and what the side after each is. */
export function cornerList(screen, again) {
  const one = screen.picture;
  const list = pointsOf(screen);
  const change = (next) => { note(`points ${one.key}`, JSON.stringify(next)); again(); };
  const row = ([x, y, round, side], n) => {
    const tick = make("input", { type: "checkbox", checked: round, "data-key": `round ${n}`, title: "Both its sides are lines then.", onchange: () => change(list.map((at, m) => (m === n ? [x, y, tick.checked, side] : at))) });
    const way = make("select", { "data-key": `side ${n}`, "aria-label": `Side from corner ${n + 1} to ${((n + 1) % list.length) + 1}`, title: "What leads to the next corner.", onchange: () => change(list.map((at, m) => (m === n ? [x, y, round, way.value] : at))) },
      SIDES.map(([key, words]) => make("option", { value: key, selected: key === side }, words)));
    return make("li", {}, make("span", {}, `corner ${n + 1}`), make("label", { class: "tick" }, tick, "round"), make("span", {}, "then"), way,
      make("button", { class: "plain", "data-key": `no corner ${n}`, "aria-label": `Delete corner ${n + 1}`, onclick: () => change(list.filter((_, m) => m !== n)) }, "delete"));
  };
  return make("div", {}, list.length ? make("ul", { class: "corners" }, list.map(row)) : null,
    make("button", { class: "plain", "data-key": "add corner", title: "Puts one in the middle of the picture: move it by the arrow keys.", onclick: () => change([...list, [one.width / 2, one.height / 2, false, ""]]) }, "Add a corner by the keyboard"));
}

/** What was read: the sizes, each corner and side. */
export function outline(screen, say) {
  const read = screen.outline;
  const right = () => say({ points: read.offer });
  return make("section", { "aria-label": "Values" }, make("h2", {}, capital(read.head)),
    read.offer.length ? make("p", { class: "warning" }, "These corners were found, and nobody has looked at them yet. ", make("button", { "data-key": "confirm corners", onclick: right }, "They are right")) : null,
    read.weighed.map((words) => make("p", { class: "quiet" }, capital(words))),
    read.doubts.map((doubt) => make("p", { class: "warning" }, capital(doubt))),
    make("table", { class: "values sides" },
      make("thead", {}, make("tr", {}, ["", "as read, \u00b1", "seen"].map((words) => make("th", { scope: "col" }, words)))),
      make("tbody", {}, read.rows.map(([name, value, left, remark]) => make("tr", {}, make("th", { scope: "row" }, name), make("td", {}, value, remark ? make("small", {}, ` ${remark}`) : ""), make("td", {}, left))))),
    make("p", { class: "quiet" }, "\u00b1 is the expanded uncertainty, k = 2. A line that is not seen is dashed."));
}

/** Into the job: as a new panel, or in place of one. */
export function intoPanels(screen, page) {
  const one = screen.picture;
  const [wrong, tell] = telling(`add outline ${one.key}`, { stays: true });
  const key = `outline name ${one.key}`;
  const name = drafting(key, make("input", { "data-key": "outline name", "data-was": "", placeholder: "such as door", list: "panels of the job", title: "A new name, or that of a panel of the job.", autocomplete: "off", oninput: () => see() }));
  const names = make("datalist", { id: "panels of the job" }, screen.panels.map((panel) => make("option", { value: panel.name }, panel.name)));
  const instead = make("input", { type: "checkbox", "data-key": "instead", title: "Its readings are replaced; its hand, note and obstacles stay." });
  const tick = make("label", { class: "tick" }, instead, "in place of it");
  const see = () => { tick.hidden = !screen.panels.some((panel) => panel.name === name.value.trim()); };
  see();
  return make("section", { class: "into", "aria-label": "Into the job" }, make("h2", {}, "Put it into the job"),
    make("form", { class: "line", onsubmit: (event) => {
      event.preventDefault();
      once(page, "add outline", async () => {
        const typed = name.value;
        const failed = await page.ask("/do/originals/panel", { name: typed, instead: instead.checked && !tick.hidden });
        if (!failed && draft(key) === typed) drop(key);
        tell(failed);
      });
    } }, make("label", {}, make("span", {}, "Name of the panel"), name, names), tick,
      make("button", { class: "main", "data-key": "add outline", onclick: single() }, "Put it into the job")), wrong,
    screen.outlined.map((panel) => make("p", { class: "good added" }, `The panel '${panel}' is in the job. `, make("button", { "data-key": `see panel ${panel}`, onclick: () => page.go({ screen: "draw", panel, decal: "" }) }, "See it on Draw"))));
}
