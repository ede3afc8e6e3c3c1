// What dries: since when, not before when one goes on, when it is done. The times are ranges of common practice, which the
// server sends in minutes; what o'clock it is, the browser says, again and again.

import { fill, make } from "./dom.js";
import { say } from "./passing.js";

const EVERY_MS = 5000;
let live = []; // what is said anew as time goes by
let beating = 0;

const now = () => Date.now() / 1000;
const clockTime = new Intl.DateTimeFormat("en-GB", { hour: "2-digit", minute: "2-digit" });
const weekday = new Intl.DateTimeFormat("en-GB", { weekday: "short", day: "numeric", month: "short" });

/** A time of day; another day is named. */
export function when(seconds) {
  const at = new Date(seconds * 1000);
  const days = Math.round((new Date(at).setHours(12, 0, 0, 0) - new Date().setHours(12, 0, 0, 0)) / 86_400_000);
  const day = days === 0 ? "" : days === 1 ? "tomorrow " : days === -1 ? "yesterday " : `${weekday.format(at)}, `;
  return `${day}${clockTime.format(at)}`;
}

function span(seconds) {
  const minutes = Math.max(1, Math.ceil(seconds / 60));
  const [h, min] = [Math.floor(minutes / 60), minutes % 60];
  return [h ? `${h} h` : "", min ? `${min} min` : ""].filter(Boolean).join(" ");
}

/** Where a row of the clock is: 'open', 'drying', 'soon' once the least of its time has passed, 'done'. */
function phase(row) {
  if (row.begun === null) return "open";
  // A clock that was set back makes nothing dry the later.
  const gone = Math.max(0, now() - row.begun);
  if (gone < row.least * 60) return "drying";
  return row.most !== null && gone < row.most * 60 ? "soon" : "done";
}

/** The same in words. */
function standing(row) {
  const [least, most] = [row.begun + row.least * 60, row.begun + (row.most ?? row.least) * 60];
  return {
    open: () => "not begun",
    drying: () => `not before ${when(least)}, in ${span(least - now())}`,
    soon: () => `may be dry: try it at an edge; done by ${when(most)}`,
    done: () => `done, since ${when(most)}`,
  }[phase(row)]();
}

/** An element whose words, and class, are said anew as time goes by. */
function alive(row, words, more = {}) {
  const made = make("span", more);
  const tell = () => {
    const said = words();
    if (made.textContent !== said) fill(made, said);
    made.className = `state ${phase(row)}`;
  };
  tell();
  live.push([made, tell, row, phase(row)]);
  return made;
}

/** Begins to say it anew, for what is on the page. */
export function ticking(root) {
  live = live.filter(([made]) => root.contains(made));
  clearInterval(beating);
  beating = setInterval(() => {
    if (!root.isConnected) return clearInterval(beating);
    live.forEach((one) => {
      const [, tell, row, before] = one;
      tell();
      one[3] = phase(row);
      if (row.until && before === "drying" && one[3] !== before) say(`${row.what}: the least time to dry has passed.`);
    });
    return null;
  }, EVERY_MS);
}

/** What a piece lies on, and whether that is dry. `go(key)`: to another piece. */
export function firsts(rows, go) {
  if (!rows.length) return null;
  return make("ul", { class: "firsts" }, rows.map((row) => make("li", {}, make("b", {}, `It goes over ${row.what}: `),
    row.begun === null ? [make("span", { class: "state open" }, "that is not on yet"), make("button", { class: "plain", "data-key": `first ${row.step}`, onclick: () => go(row.step) }, "Go to it")]
      : alive(row, () => `${standing(row)}${phase(row) === "drying" ? ". Go on with another meanwhile" : ""}`))));
}

/** The side that is touch-dry last, before the model is turned. */
export function turned(rows) {
  const wet = rows.filter((one) => phase(one) === "drying").sort((a, b) => b.begun - a.begun);
  if (!wet.length) return null;
  return make("ul", { class: "firsts" }, wet.slice(0, 1).map((one) => make("li", {}, make("b", {}, `${one.what} is still soft: `), alive(one, () => standing(one)))));
}

/** A time to correct: a day and a time of day, in this place's own time. */
export function correction(key, begun, put) {
  const local = (seconds) => new Date(seconds * 1000 - new Date(seconds * 1000).getTimezoneOffset() * 60_000).toISOString().slice(0, 16);
  const box = make("input", { type: "datetime-local", value: local(begun), "data-was": local(begun), "data-key": `time ${key}`, title: "The day and the time when it was put on, or begun.", onchange: () => {
    const at = new Date(box.value).getTime() / 1000;
    if (Number.isFinite(at)) put(at);
  } });
  return make("details", { class: "correct" }, make("summary", {}, "Correct the time"), make("label", {}, make("span", {}, "Since"), box));
}

function row(one, put) {
  const said = [one.begun === null ? "" : `begun ${when(one.begun)}`, one.words, one.until].filter(Boolean).join(" \u00b7 ");
  return make("li", { class: one.hand && "by-hand" }, make("b", {}, one.what), alive(one, () => standing(one)),
    make("span", { class: "quiet" }, said), one.hand ? begins(one, put) : null);
}

/** Begins a row, or takes that back. */
function begins(one, put) {
  const on = one.begun !== null;
  return [make("button", { "data-key": `begin ${one.what}`, onclick: () => put("begin", { what: one.what, on: !on }) }, on ? "It has not begun" : "It begins now"),
    on ? correction(one.what, one.begun, (at) => put("correct", { what: one.what, at })) : null];
}

/** What one begins oneself, such as a coat. */
export function starters(rows, put) {
  if (!rows.length) return null;
  return make("section", { class: "clock", "aria-label": "What dries" }, make("h2", {}, "What dries"), make("ul", {}, rows.map((one) => row(one, put))));
}

/** What one waits for comes first, the next to be dry before the others. */
const turn = (one) => (phase(one) === "done" ? 1e12 : 0) + one.begun + one.least * 60;

/** The whole clock: what dries, then what is still to come. */
export function clock(screen, put) {
  live = [];
  const begun = screen.clock.filter((one) => one.begun !== null).sort((a, b) => turn(a) - turn(b));
  const open = screen.clock.filter((one) => one.begun === null);
  const plain = (one) => row({ ...one, hand: false }, put);
  return make("section", { class: "clock", "aria-label": "Drying clock" }, make("h2", {}, "Drying clock"),
    begun.length ? make("ul", {}, begun.map(plain)) : make("p", { class: "quiet" }, "Nothing dries yet: it begins with the first tick."),
    open.length ? make("details", {}, make("summary", {}, `${open.length} not begun`), make("ul", {}, open.map(plain))) : null,
    make("p", { class: "quiet" }, screen.times));
}
