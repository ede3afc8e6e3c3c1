// Apply: decal by decal onto the model, large, for wet fingers: where it goes, what has to be dry first, a tick for it.

import { capital, fill, make } from "./dom.js";
import { choice } from "./fields.js";
import { files } from "./files.js";
import { clock, correction, firsts, starters, ticking, turned, when } from "./drying.js";
import { once, press } from "./once.js";
import { side } from "./laying.js";
import { singleKeys } from "./single.js";
import { telling } from "./told.js";

export const KEYS = [["← →", "the piece before, the next one"], ["T", "tick the piece that is shown"]];
const FRAME = { before: "before the first", afterwards: "after the last" };
let shown = null; // what is on the page: { root, screen, page, put }

export function show(root, screen, page) {
  const [wrong, tell] = telling("apply");
  const put = (act, more = {}) => once(page, `apply ${act} ${JSON.stringify(more)}`, async () => tell(await page.ask(`/do/apply/${act}`, more)));
  shown = { root, screen, page, put };
  const notes = [troubles(screen, page, put), wrong];
  if (!screen.steps.length) {
    fill(root, notes);
    return;
  }
  // Ticked, a piece stays on the page.
  page.view.applying = screen.at;
  const { shown: one } = screen;
  const work = make("div", { class: "laid" });
  fill(root, notes, make("div", { class: "spread" },
    make("div", {}, turning(screen), work, screen.undo ? make("p", { class: "tools" }, make("button", { "data-key": "take back", onclick: press(page, "apply back", () => put("back", { label: screen.undo })) }, `Take back: ${screen.undo}`)) : null,
      more(one), one.kind === "piece" ? cautions(one.cautions) : null,
      make("p", { class: "keys" }, KEYS.map(([key, words]) => [make("kbd", {}, key), words]))),
    make("div", { class: "side" }, list(screen, put), clock(screen, put), papers(screen, put))));
  fill(work, one.kind === "piece" ? piece(one, screen, put, work.clientWidth || root.clientWidth) : stage(one, screen, put));
  ticking(root);
}

const go = (key) => shown.page.go({ applying: key });

/** The ways to the steps before and after, and how far one is. */
function turning(screen) {
  const name = (key) => screen.steps.find((one) => one.key === key)?.called ?? FRAME[key];
  const way = (key, words, to) => make("button", { class: "way", "data-key": key, disabled: !to, onclick: () => go(to) }, words, make("span", {}, to ? name(to) : ""));
  const there = screen.shown.kind === "piece" ? `piece ${screen.turn} of ${screen.steps.length}` : screen.shown.name.toLowerCase();
  return make("div", { class: "turning", role: "group", "aria-label": "Steps of laying" },
    way("back", "Back", screen.before),
    make("p", { class: "far" }, make("b", {}, `${screen.on} of ${screen.of}`), " on", make("span", { class: "quiet" }, there),
      make("progress", { max: screen.of, value: screen.on, "aria-label": "How many are on" })),
    way("next", "Next", screen.next));
}

/** A piece: which, on which side, where, what first, and its tick. */
function piece(one, screen, put, width) {
  return [
    make("div", { class: "which" }, make("h2", {}, one.name), sides(one.sides, one.side),
      make("p", { class: "look" }, make("b", {}, one.side), `, ${one.look}`)),
    side(one, width),
    make("table", { class: "figures" }, make("tbody", {}, one.rows.map((row) => make("tr", {},
      make("th", { scope: "row" }, make("b", { class: "letter" }, row.letter), row.words),
      make("td", {}, row.figure ? make("b", {}, row.figure) : make("span", { class: "open" }, "?"), make("span", { class: "quiet" }, row.sureness)))))),
    turned(one.turned),
    one.notes.length ? make("ul", { class: "notes" }, one.notes.map((words) => make("li", {}, capital(words)))) : null,
    one.copies.map((copy) => tick(one, copy, screen, put)),
  ];
}

/** Which side of the model it is, seen from above with the sides folded out. */
function sides(found, name) {
  const box = (word) => make("span", { class: word === found.this ? "here" : "" }, word);
  return make("div", { class: "sides", role: "img", "aria-label": found.this ? `It goes on the ${found.this}` : `It goes on ${name}` },
    box("right side"), make("div", {}, make("span", { class: "nose" }, "nose"), found.middle.map(box)), box("left side"));
}

/** A copy of a piece: what has to be dry before it, its tick, since when it is on. */
function tick(one, copy, screen, put) {
  const on = copy.begun !== null;
  const of = { step: screen.at, copy: copy.copy };
  const words = on ? ["On since ", when(copy.begun)] : "It is on";
  const name = copy.label ? [make("b", {}, `${capital(copy.label)}: `)] : [];
  return [
    on ? null : firsts(copy.first, go),
    make("button", { class: `put${on ? " on" : " main"}`, "aria-pressed": String(on), "data-key": `tick ${copy.copy}`, onclick: press(shown.page, `tick ${copy.copy}`, () => put("tick", { ...of, on: !on })) },
      name, make("b", {}, words), make("span", {}, on ? "press again to take the tick off" : "press once it lies where it should")),
    copy.changed ? make("p", { class: "warning" }, `${capital(copy.changed)}.`) : null,
    on ? correction(`tick ${copy.copy}`, copy.begun, (at) => put("correct", { ...of, at })) : null,
  ];
}

/** What is done before any piece is on, or once all are. */
function stage(one, screen, put) {
  return [
    make("h2", { class: "which" }, one.name),
    make("ul", { class: "doing" }, one.steps.map((step) => make("li", {},
      make("label", {}, make("input", { type: "checkbox", checked: step.done, "data-key": step.key, title: "Tick it once it is done.", onchange: (event) => put("done", { step: step.key, on: event.target.checked }) }),
        make("b", {}, capital(step.name)), make("span", {}, step.text))))),
    starters(screen.clock.filter((row) => row.stage === one.kind), put),
    cautions(one.cautions),
  ];
}

function cautions(some) {
  if (!some.length) return null;
  return make("section", { class: "care", "aria-label": "Take care" }, make("h2", {}, "Take care"),
    some.map((one) => make("p", {}, one.head ? make("b", {}, `${one.head}. `) : "", one.text)));
}

/** How a piece goes on. */
function more(one) {
  if (one.kind !== "piece") return null;
  return make("details", {}, make("summary", {}, "How a piece goes on"),
    make("dl", { class: "how" }, one.how.map((step) => [make("dt", {}, capital(step.name)), make("dd", {}, capital(step.text))])),
    one.spares ? make("p", {}, `The film has ${one.spares === 1 ? "a spare" : `${one.spares} spares`} of this piece.`) : null);
}

/** All pieces with their ticks. */
function list(screen, put) {
  const row = (key, words, done, note = "") => make("li", {}, make("button", { class: `row${done ? " on" : ""}`, "data-key": `row ${key}`, "aria-current": key === screen.at && "step", onclick: () => go(key) }, words, note ? make("span", {}, note) : null));
  const counted = (one) => [one.of > 1 ? `${one.on} of ${one.of}` : "", one.changed ? "changed since" : ""].filter(Boolean).join(", ");
  return make("section", { class: "all", "aria-label": "All pieces" }, make("h2", {}, "All pieces"),
    make("ol", {}, row("before", capital(FRAME.before), false), screen.steps.map((one) => row(one.key, [one.called, one.on >= one.of ? make("i", { class: "unseen" }, " is on") : ""], one.on >= one.of, counted(one))), row("afterwards", capital(FRAME.afterwards), false)),
    screen.gone.map((one) => make("p", { class: "warning" }, `'${one.called}'${one.hand ? `, ${one.hand}` : ""} was put on and is no longer in the job. `,
      make("button", { "data-key": `forget ${one.tick.join(" ")}`, onclick: () => put("forget", { tick: one.tick }) }, "Forget it"))));
}

function papers(screen, put) {
  const paper = choice("apply paper", "Paper", screen.papers, { title: "The paper in your printer." });
  const make_ = (act) => () => put(act, { paper: paper.querySelector("select").value });
  return make("section", { class: "papers", "aria-label": "On paper" }, make("h2", {}, "On paper"),
    make("div", { class: "line" }, paper,
      make("button", { "data-key": "make guide", disabled: Boolean(screen.busy), onclick: press(shown.page, "make guide", make_("guide")) }, "Make the placement guide"),
      screen.carded ? make("button", { "data-key": "make card", disabled: Boolean(screen.busy), onclick: press(shown.page, "make card", make_("work_card")) }, "Make the work card") : null),
    screen.carded ? null : make("p", { class: "quiet" }, "The work card is of a sheet: it can be made once there is a proof."),
    screen.busy ? make("p", { class: "quiet" }, `${capital(screen.busy)} ...`) : null,
    screen.made.map((one) => files(one)));
}

/** What is wrong with the ticks, or with the job as it is now. */
function troubles(screen, page, put) {
  const { wrong, trouble } = screen;
  const way = (act, words) => make("button", { "data-key": act, onclick: press(page, act, () => put(act)) }, words);
  return [
    wrong.message ? make("section", { class: "mistake", role: "alert" }, make("p", {}, `${wrong.message}.`), wrong.fix && make("p", { class: "quiet" }, `${capital(wrong.fix)}.`),
      make("div", { class: "fixing" }, wrong.other ? way("take_over", "It is the same model: take them over") : null, way("set_aside", "Set the file aside and begin again"))) : null,
    trouble.message ? make("section", { class: "mistake", role: "alert" }, make("p", {}, `${capital(trouble.message)}.`), trouble.fix && make("p", { class: "quiet" }, `${capital(trouble.fix)}.`),
      screen.steps.length ? make("p", {}, "What is shown here is from before.") : null,
      make("div", { class: "fixing" }, make("button", { "data-key": "to draw", onclick: () => page.go({ screen: "draw" }) }, "Go to Draw"))) : null,
    screen.unkept ? make("p", { class: "warning" }, `What you ticked is not kept: ${screen.unkept}. It holds while decalgen runs.`) : null,
    screen.since.length && screen.steps.length ? make("p", { class: "warning" }, `Changed since the proof: ${screen.since.join("; ")}. What is on your film may differ from what is shown here.`) : null,
    screen.making && screen.steps.length ? make("p", { class: "quiet" }, "The guide is being worked out again ...") : null,
  ];
}

addEventListener("keydown", (event) => {
  if (!shown?.root.isConnected || event.ctrlKey || event.metaKey || event.altKey || event.shiftKey || event.target.closest?.("input, select, textarea, dialog, .card")) return;
  const { screen, put } = shown;
  const to = { ArrowLeft: screen.before, ArrowRight: screen.next }[event.key];
  if (to) {
    event.preventDefault();
    go(to);
  }
  const next = event.key.toLowerCase() === "t" && singleKeys() && screen.shown?.copies?.find((one) => one.begun === null);
  if (next) put("tick", { step: screen.at, copy: next.copy, on: true });
});
