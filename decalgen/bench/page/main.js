// The page: lets the browser in, shows the card and one screen, sends changes, listens for what happens.

import { fill, make } from "./dom.js";
import { notices, turnTo } from "./opening.js";

// A screen's script is read once it is shown; the rest follow when nothing else is to be done.
const SCREENS = {
  jobs: () => import("./jobs.js"),
  new: () => import("./begin.js"),
  begin: () => import("./begin.js"),
  measure: () => import("./measure.js"),
  draw: () => import("./draw.js"),
  body: () => import("./body.js"),
  check: () => import("./check.js"),
  proof: () => import("./proof.js"),
  print_film: () => import("./print_film.js"),
  film: () => import("./film.js"),
  printer: () => import("./printer.js"),
};
const read = {};
const REST_MS = 300; // so long after the first screen the scripts of the others are read
const card = document.getElementById("card");
const work = document.getElementById("work");
const told = document.getElementById("told");
const tab = (sessionStorage.tab ??= crypto.getRandomValues(new Uint32Array(2)).join("-"));
const view = { panel: "", decal: "", ...JSON.parse(sessionStorage.view ?? "{}"), job: sessionStorage.job ?? "", screen: location.hash.slice(1) };
let state = null;
let stream = null;
let beat = null;
let sending = Promise.resolve();
let [asked, answered] = [0, 0]; // the turns of what was asked for, and of the last answer
let putOff = false; // whether a screen waits until a piece is let go of
let waiting = 0; // changes that are not answered yet

async function start() {
  if (location.hash.startsWith("#k=")) {
    const token = location.hash.slice(3);
    history.replaceState(null, "", "/");
    view.screen = "";
    const entered = await request("/enter", { token });
    if (entered?.status === 200) turnTo(view, entered.found.job);
  }
  await load();
  listen();
  await offer();
  setTimeout(() => Object.keys(SCREENS).forEach(readScreen), REST_MS);
}

/** Asks for what the screen needs, and shows it. */
async function load(softly = false) {
  const turn = ++asked;
  const answer = await request(`/state?${new URLSearchParams({ ...view, tab })}`);
  if (!answer) return;
  // Answers may overtake each other.
  const late = turn < answered;
  answered = Math.max(answered, turn);
  if (answer.status === 401) {
    fill(work, make("h1", {}, "Not let in"), make("p", {}, "Open the address that decalgen printed; each works once. Start decalgen bench again for another."));
    return;
  }
  const { found } = answer;
  // What is typed or marked while the answer is on its way stays: a screen with nothing new is not drawn again.
  const news = (one) => JSON.stringify([one?.shown, one?.screen, one?.problems]);
  if (!softly || !(late || typing() || news(found) === news(state))) {
    take(found);
    return late ? load(true) : undefined;
  }
  if (late) return;
  state = { ...found, screen: state.screen, problems: state.problems };
  showCard();
}

function take(found) {
  if (state && found.job === state.job && found.version < state.version) return;
  const screen = state?.shown;
  state = found;
  document.title = found.title ? `${found.title} · decalgen` : "decalgen";
  view.job = sessionStorage.job = found.job || view.job;
  view.screen = found.shown;
  if (location.hash.slice(1) !== found.shown) history.replaceState(null, "", `#${found.shown}`);
  showCard();
  showScreen(screen !== found.shown);
}

/** The screens in the order of the card. */
const screens = () => [...state.steps, ...state.beside];

function showCard() {
  const buttons = (some, kind) => some.map((one) =>
    make("li", {}, make("button", {
      class: `step${kind}${one.done ? " done" : ""}`, "aria-current": one.key === state.shown && "step", onclick: () => go({ screen: one.key }),
    }, make("b", {}, one.name), make("span", {}, one.words))));
  const kept = state.trouble ? `not kept: ${state.trouble}` : !waiting && state.kept === state.version ? "all kept" : "being kept ...";
  fill(card,
    make("p", { class: "job" }, make("b", {}, state.title || "decalgen"), make("span", {}, state.scale)),
    make("button", { class: "jobs", "aria-current": state.shown === "jobs" && "step", onclick: () => go({ screen: "jobs" }) }, "Jobs"),
    make("nav", { "aria-label": "Steps" }, state.steps.length ? make("ol", {}, buttons(state.steps, "")) : null,
      state.beside.length ? [make("h2", { id: "beside" }, "Beside the job"), make("ul", { "aria-labelledby": "beside" }, buttons(state.beside, " aid"))] : null),
    !state.job ? null : make("div", { class: "undo" },
      make("button", { disabled: !state.undo, onclick: () => act("/undo"), title: "Ctrl+Z" }, "Undo", make("span", {}, state.undo || "nothing done")),
      make("button", { disabled: !state.redo, onclick: () => act("/redo"), title: "Ctrl+Shift+Z" }, "Redo", make("span", {}, state.redo || "nothing undone"))),
    !state.job ? null : make("p", { class: `kept${state.trouble ? " wrong" : ""}` }, make("b", {}, state.file), " ", kept));
}

async function readScreen(key) {
  read[key] ??= await SCREENS[key]();
}

function showScreen(fresh) {
  const key = state.shown;
  // A piece that is held is not taken out of the hand.
  putOff = work.querySelector(".holding") !== null;
  if (putOff) return;
  if (!read[key]) {
    readScreen(key).then(() => { if (state.shown === key) showScreen(fresh); });
    return;
  }
  const focused = document.activeElement?.dataset?.key;
  const marked = document.activeElement?.matches?.("input[data-key]") && [document.activeElement.selectionStart, document.activeElement.selectionEnd];
  const at = { ask: act, go, say, view, request, version: state.version, problems: state.problems };
  const step = screens().find((one) => one.key === state.shown);
  const title = make("h1", { tabindex: "-1" }, step?.name ?? state.heading);
  const body = make("div", {});
  fill(work,
    notices(state, at),
    state.problems.slice(0, 1).map((one) => mistake(one)),
    make("div", { class: "head" }, title, make("p", {}, state.screen.opening)), body);
  read[key].show(body, state.screen, at);
  if (fresh) title.focus();
  else if (focused) {
    const again = work.querySelector(`[data-key="${CSS.escape(focused)}"]`);
    again?.focus();
    if (marked && marked[0] !== null) again?.setSelectionRange?.(...marked);
  }
}

/** A mistake that keeps the file from being read: its line, and a way to mend it here. */
function mistake(one) {
  const box = make("section", { class: "mistake", "aria-label": "Mistake in the file" },
    make("p", {}, make("b", { class: "error" }, one.line ? `Line ${one.line}: ` : ""), one.message),
    one.fix && make("p", { class: "quiet" }, one.fix));
  if (one.line && one.text.trim()) {
    const line = make("input", { value: one.text, "aria-label": `Line ${one.line} of the file`, "data-key": "mend", spellcheck: "false" });
    box.append(make("div", { class: "fixing" }, line,
      make("button", { class: "main", onclick: () => act("/line", { line: one.line, was: one.text, to: line.value }) }, "Put this line in")));
  }
  return box;
}

/** Another screen, panel or decal. */
function go(where) {
  Object.assign(view, where);
  sessionStorage.view = JSON.stringify(view);
  return load();
}

/** Sends a change and shows what came of it. Gives null, or what was wrong with it. */
function act(path, body = {}) {
  waiting += 1;
  showCard();
  const sent = sending.then(() => send(path, { base: state.version, ...body, view })).finally(() => {
    waiting -= 1;
    showCard();
  });
  sending = sent.catch(() => null);
  return sent;
}

async function send(path, body) {
  // What is not confirmed yet outlives the server and the tab.
  if (body.edits) sessionStorage.unsent = JSON.stringify({ path, body });
  const answer = await request(path, body);
  if (!answer) {
    return { message: "decalgen is not running any more", fix: "start `decalgen bench` again; nothing is lost" };
  }
  delete sessionStorage.unsent;
  const { found } = answer;
  if (answer.status === 200) {
    take(found);
    return null;
  }
  if (answer.status === 409) found.fix = `it is '${found.theirs}' now; yours was '${found.mine}'. ${found.fix}`;
  return found;
}

/** A change that a server took with it into its end: offered again. */
async function offer() {
  const unsent = sessionStorage.unsent && JSON.parse(sessionStorage.unsent);
  if (!unsent || !state || (unsent.body.view?.job ?? state.job) !== state.job) return;
  delete sessionStorage.unsent;
  const wrong = await act(unsent.path, { ...unsent.body, base: state.version });
  say(wrong ? `Your last change could not be made: ${wrong.message}` : "Your last change was still open; it is made now.");
}

/** Asks the server, with a body by POST. Gives the status and what it says; null, and tells it, where none is there. */
async function request(path, body = null) {
  try {
    const answer = await fetch(path, body && { method: "POST", headers: { "content-type": "application/json" }, body: JSON.stringify(body) });
    const text = await answer.text();
    return { status: answer.status, found: text.startsWith("{") ? JSON.parse(text) : {} };
  } catch {
    gone();
    return null;
  }
}

function gone() {
  say("decalgen is not running any more. Start decalgen bench again: nothing is lost.", true);
}

let silence = 0;
export function say(words, stay = false) {
  told.textContent = words;
  clearTimeout(silence);
  if (!stay) silence = setTimeout(() => (told.textContent = ""), 6000);
}

/** Whether something is being typed that a new picture would take away. */
function typing() {
  const at = document.activeElement;
  if (work.querySelector(".fill")) return true;
  return at?.matches?.("input") && work.contains(at) && at.value !== (at.dataset.was ?? "");
}

function hear(what) {
  if (!state || (what.job ?? state.job) !== state.job) return;
  if (what.kept) {
    state.kept = what.kept;
    state.trouble = "";
  }
  if (what.trouble) state.trouble = what.trouble;
  if (what.by) say(`Taken over: what ${what.by} changed.`);
  const news = what.version > state.version || what.findings || what.by || what.made;
  // What is being typed stays as it is; the card tells what is new.
  if (news) load(true);
  else showCard();
}

/** One tab holds the stream for all of them: a browser keeps no more than six connections to one server. */
const others = new BroadcastChannel(`decalgen-${location.port}`);
others.onmessage = (message) => hear(message.data);

function listen() {
  navigator.locks.request("stream", () => new Promise(() => {
    stream = new EventSource("/events");
    stream.onmessage = (message) => {
      const what = JSON.parse(message.data);
      others.postMessage(what);
      hear(what);
    };
    stream.onerror = lost;
    stream.onopen = () => {
      clearInterval(beat);
      beat = null;
      if (told.textContent.startsWith("decalgen is not running")) told.textContent = "";
    };
  }));
}

/** The stream broke off: the server ended, or the machine slept. It is tried again by itself; until then, ask. */
function lost() {
  beat ??= setInterval(() => request(`/state?${new URLSearchParams({ ...view, tab })}`), 2000);
}

document.addEventListener("visibilitychange", () => {
  if (!document.hidden && state && !typing()) load();
});
addEventListener("pagehide", () => navigator.sendBeacon("/leaving", new Blob([JSON.stringify({ tab })], { type: "application/json" })));
for (const kind of ["pointerup", "pointercancel"]) {
  addEventListener(kind, () => setTimeout(() => { if (putOff && !waiting) showScreen(false); }));
}
addEventListener("hashchange", () => {
  const screen = location.hash.slice(1);
  if (SCREENS[screen] && screen !== state?.shown) go({ screen });
});
addEventListener("keydown", (event) => {
  if ((event.ctrlKey || event.metaKey) && event.key.toLowerCase() === "z" && !typing()) {
    event.preventDefault();
    act(event.shiftKey ? "/redo" : "/undo");
  }
  const step = !event.ctrlKey && !event.altKey && !event.target.matches?.("input, select") && state && screens()[Number(event.key) - 1];
  if (step) go({ screen: step.key });
});

start();
