// The page: lets the browser in, shows the card and one screen, sends changes, listens for what happens.

import { fill, make } from "./dom.js";
import { drawCard, stepInSight } from "./card.js";
import { script, styles } from "./loading.js";
import { notices, turnTo } from "./opening.js";
import { singleKeys } from "./single.js";
import { say } from "./passing.js";
import { forgetTold, worked } from "./told.js";
import { clashed, clashedChange, forget, kept, lostChanges, made, request, shelve } from "./wire.js";

// A screen's script and styles are read once it is shown; the rest follow when nothing else is to be done.
const SCREENS = {
  jobs: (again) => import(`./jobs.js${again}`),
  new: (again) => import(`./begin.js${again}`),
  begin: (again) => import(`./begin.js${again}`),
  measure: (again) => import(`./measure.js${again}`),
  originals: (again) => import(`./originals.js${again}`),
  draw: (again) => import(`./draw.js${again}`),
  body: (again) => import(`./body.js${again}`),
  check: (again) => import(`./check.js${again}`),
  sheet: (again) => import(`./sheet.js${again}`),
  proof: (again) => import(`./proof.js${again}`),
  print_film: (again) => import(`./print_film.js${again}`),
  apply: (again) => import(`./apply.js${again}`),
  film: (again) => import(`./film.js${again}`),
  printer: (again) => import(`./printer.js${again}`),
};
const read = {};
// Every rule of a screen's styles begins with its scope: none touches another screen.
const STYLES = {
  jobs: ["jobs.css"],
  new: ["begin.css"],
  begin: ["begin.css"],
  measure: ["measure.css", "panels.css"],
  originals: ["originals.css"],
  draw: ["draw.css", "adding.css", "say.css"],
  body: ["body.css"],
  check: ["check.css"],
  sheet: ["sheet.css"],
  proof: ["proof.css"],
  apply: ["apply.css"],
  film: ["film.css"],
  printer: ["printer.css"],
};
const RESIZED_MS = 200; // so long after a window has its new width
const AGAIN_MS = 2000; // so long after a script could not be read it is asked for again
const REST_MS = 300; // so long after the first screen those of the others are read
const card = document.getElementById("card");
const work = document.getElementById("work");
const tab = crypto.getRandomValues(new Uint32Array(2)).join("-"); // a tab that is doubled would take it along, were it stored
// Loaded anew, a page has no drawings: they are sent again.
const view = { panel: "", decal: "", ...JSON.parse(sessionStorage.view ?? "{}"), other: "later", arts: "", job: sessionStorage.job ?? "", screen: location.hash.slice(1) };
let state = null;
let sending = Promise.resolve();
let [asked, answered] = [0, 0]; // the turns of what was asked for, and of the last answer
let pressed = null; // where a button of the mouse, a finger or Space is down: drawn anew under it, a button would not be clicked
let [cardLater, screenLater] = [false, null]; // what waits until it is let go of; of the screen, whether it is another one
const afterwards = []; // goes on once the screen is drawn
let waiting = 0; // changes that are not answered yet
let missed = 0; // the version of what came from elsewhere meanwhile
let carded = ""; // what the card shows
let trouble = null; // the script of what went wrong
let [wide, resized] = [innerWidth, 0];
let walking = ""; // while the browser's Back or Forward leads to another screen: which
const narrow = matchMedia("(max-width: 900px)"); // there the steps lie in a row

async function start() {
  if (location.hash.startsWith("#k=")) {
    const token = location.hash.slice(3);
    history.replaceState(null, "", "/");
    view.screen = "";
    const entered = await request("/enter", { token });
    if (entered?.status === 200) turnTo(view, entered.found.job);
  }
  await load();
  hearken();
  // What cannot be read now, as the server ends, is asked for again when it is shown.
  setTimeout(() => [readTrouble(), ...Object.keys(SCREENS).map(readScreen)].forEach((one) => one.catch(() => null)), REST_MS);
}

const STREAM = (again) => import(`./stream.js${again}`);

/** Listens for what happens, by a script that is read once the first screen is there. */
function hearken() {
  script(STREAM).then((found) => found.listen(hear, news), () => setTimeout(hearken, AGAIN_MS));
}

/** Asks for what the screen needs, and shows it. */
async function load(softly = false) {
  const turn = ++asked;
  const sent = JSON.stringify(view);
  const answer = await request(`/state?${new URLSearchParams({ ...view, tab })}`);
  if (!answer) return;
  // Answers may overtake each other.
  const late = turn < answered;
  answered = Math.max(answered, turn);
  if (answer.status === 401) {
    fill(work, make("h1", {}, "Not let in"), make("p", {}, "Open the address that decalgen printed; each works once. Start `decalgen bench` again for another."));
    return;
  }
  // Something new is looked at by now, such as a decal that was just added.
  if (softly && sent !== JSON.stringify(view)) return load(true);
  const { found } = answer;
  // What is typed or marked while the answer is on its way stays: a screen with nothing new is not drawn again.
  const news = (one) => JSON.stringify([one?.shown, one?.screen, one?.problems, one?.restore]);
  if (late) return softly ? undefined : load(true);
  if (found.busy === "") worked();
  if (!softly || !(typing() || news(found) === news(state))) return take(found);
  state = { ...found, screen: state.screen, problems: state.problems };
  showCard();
  showNotes();
  showNotices();
}

function take(found) {
  if (state && found.run === state.run && found.version < state.version) return;
  kept(found.run, found.kept);
  const screen = state?.shown;
  state = found;
  Object.assign(view, found.look);
  if (found.look) sessionStorage.view = JSON.stringify(view);
  view.job = sessionStorage.job = found.job || view.job;
  view.screen = found.shown;
  // Back leads to the screen before, of the job it was shown of.
  if ((!walking || walking === location.hash) && (location.hash.slice(1) !== found.shown || history.state?.job !== view.job)) {
    history[screen && screen !== found.shown && !walking ? "pushState" : "replaceState"]({ job: view.job }, "", `#${found.shown}`);
  }
  showCard();
  showScreen(screen !== found.shown);
}

/** The screens in the order of the card. */
const screens = () => [...state.steps, ...state.beside];

function showCard() {
  cardLater = pressed === card;
  if (cardLater) return;
  work.lastElementChild?.classList.toggle("unsure", waiting > 0);
  const now = JSON.stringify([state.title, state.scale, state.job, state.file, state.shown, state.steps, state.beside, state.undo, state.redo, state.trouble, waiting > 0, state.kept === state.version]);
  if (now === carded) return;
  carded = now;
  drawCard(card, state, waiting > 0, { go, act, keysHere });
  if (narrow.matches) stepInSight(card);
}

/** The script of a screen and its styles. */
async function readScreen(key) {
  if (read[key]) return;
  const [found] = await Promise.all([script(SCREENS[key]), ...(STYLES[key] ?? []).map(styles)]);
  read[key] = found;
  if (sessionStorage.unread === key) delete sessionStorage.unread;
}

/** A screen whose script could not be read: read again, and at last the whole page is. */
async function readAgain(key, fresh) {
  if (!(await news()) || state.shown !== key) return;
  try {
    await readScreen(key);
    showScreen(fresh);
  } catch {
    // What it is built on is remembered as not read, too.
    if (sessionStorage.unread === key) return say("This screen could not be read. Load the page again: nothing is lost.", true);
    sessionStorage.unread = key;
    location.reload();
  }
}

/** What screens do and know of the whole page. */
const desk = () => ({ ask: act, go, say, view, request, version: state.version, run: state.run, problems: state.problems, undo: state.undo, drawn });

const drawn = () => new Promise((done) => (screenLater ? afterwards.push(done) : done()));

function showScreen(fresh) {
  const key = state.shown;
  screenLater = pressed === work ? { fresh: fresh || screenLater?.fresh } : null;
  if (screenLater) return;
  afterwards.splice(0).forEach((one) => one());
  if (!read[key]) {
    readScreen(key).then(() => { if (state.shown === key) showScreen(fresh); }, () => readAgain(key, fresh));
    return;
  }
  const held = work.contains(document.activeElement) ? document.activeElement : null;
  const focused = held?.dataset?.key;
  const same = held ? [held.localName, [...work.querySelectorAll(held.localName)].indexOf(held), held.textContent] : null;
  const marked = document.activeElement?.matches?.("input[data-key]") && [document.activeElement.selectionStart, document.activeElement.selectionEnd];
  const at = desk();
  const step = screens().find((one) => one.key === state.shown);
  const opened = fresh ? [] : folds().filter(([, one]) => one.open).map(([name]) => name);
  const title = make("h1", { tabindex: "-1" }, step?.name ?? state.heading);
  const body = make("div", {});
  work.className = `at-${key === "new" ? "begin" : key}`;
  fill(work,
    make("div", { id: "notes" }), make("div", { id: "notices" }), make("div", { id: "mistakes" }),
    make("div", { class: "head" }, title, make("p", {}, state.screen.opening)), body);
  showNotes();
  showNotices();
  read[key].show(body, state.screen, at);
  folds().forEach(([name, one]) => { if (opened.includes(name)) one.open = true; });
  if (fresh) title.focus();
  else if (focused) {
    const again = work.querySelector(`[data-key="${CSS.escape(focused)}"]`);
    again?.focus();
    if (marked && marked[0] !== null) again?.setSelectionRange?.(...marked);
  } else if (same) {
    // What has no key of its own is found again by its kind, its place and its words.
    const again = work.querySelectorAll(same[0])[same[1]];
    if (again?.textContent === same[2]) again.focus({ preventScroll: true });
  }
}

/** What is folded away on the screen, by its heading and where more than one has that, which. */
function folds() {
  const seen = {};
  return [...work.querySelectorAll("details")].map((one) => {
    const heading = one.firstElementChild?.textContent ?? "";
    return [`${seen[heading] = (seen[heading] ?? 0) + 1} ${heading}`, one];
  });
}

/** Above the work: what was changed twice, what a server took into its end, and a mistake in the file. */
function showNotes() {
  const [notes, mistakes] = ["notes", "mistakes"].map((id) => document.getElementById(id));
  if (!notes) return;
  const clash = clashedChange(state.job)?.clash;
  const lost = waiting || state.restore?.kind === "left" ? [] : lostChanges(state.job, state.run);
  const wrong = state.problems[0];
  if (!trouble && (state.clash || clash || lost.length || wrong)) {
    readTrouble().then(showNotes, () => null);
    return;
  }
  const whole = { act, load, showNotes, job: () => state.job, run: () => state.run };
  refill(notes, [state.clash, clash, lost.map((one) => one.body)], () => trouble?.notes(state.clash, clash, lost, whole));
  refill(mistakes, wrong, () => wrong && trouble.mistake(wrong, act));
}

const TROUBLE = (again) => import(`./trouble.js${again}`);

async function readTrouble() {
  trouble = await script(TROUBLE);
}

/** What concerns the whole job, such as that its file is gone: also while one types. */
function showNotices() {
  const place = document.getElementById("notices");
  if (!place) return;
  if (!trouble && state.restore?.kind) readTrouble().then(showNotices, () => null);
  refill(place, [state.restore, state.demo, state.spoilt, state.shown, state.restore?.kind && Boolean(trouble)], () => notices(state, desk(), trouble?.restore));
}

/** Draws a place anew if it is of something else than before. */
function refill(place, of, made) {
  const now = JSON.stringify(of) ?? "";
  if ((place.dataset.of ?? "") === now) return;
  place.dataset.of = now;
  fill(place, made());
}

/** Another screen, panel or decal. */
function go(where) {
  forgetTold();
  Object.assign(view, where);
  sessionStorage.view = JSON.stringify(view);
  return load();
}

/**
 * Sends a change and shows what came of it. Gives null, or what was wrong with it. `body` may be a function, asked when it
 * is sent; `told` is given the screen that came of it before anything else is sent; `done` is
 * called once it is made, before that is shown.
 */
function act(path, body = {}, told = null, done = null) {
  forgetTold();
  waiting += 1;
  showCard();
  const sent = sending.then(async () => {
    const failed = await send(path, { ...(typeof body === "function" ? body() : body), base: state.version, view }, done);
    if (!failed) told?.(state.screen);
    return failed;
  }).finally(() => {
    waiting -= 1;
    showCard();
    const late = missed > state.version;
    if (!waiting) missed = 0;
    if (!waiting && late) load(true);
    else if (!waiting && screenLater) showScreen(screenLater.fresh);
  });
  sending = sent.catch(() => null);
  return sent;
}

async function send(path, body, done) {
  const one = shelve(state.job, path, body);
  const answer = await request(path, body);
  if (!answer) return { message: "decalgen is not running any more", fix: "start `decalgen bench` again; nothing is lost" };
  const { found } = answer;
  if (answer.status === 200) {
    made(one, found);
    done?.();
    take(found);
    return null;
  }
  // What the other made of it may be the same.
  if (answer.status === 409 && (body.edits || found.edits) && found.mine !== found.theirs) {
    if (found.edits) Object.assign(one, { path: "/edit", body: { label: found.label, edits: found.edits, view: body.view } });
    clashed(one, found);
    showNotes();
  } else {
    forget(one);
  }
  return found;
}

/** Whether something is being typed that a new picture would take away. */
function typing() {
  const at = document.activeElement;
  if (work.querySelector(".fill")) return true;
  return at?.matches?.("input") && work.contains(at) && at.value !== (at.dataset.was ?? "");
}

const THE_KEYS = (again) => import(`./keys.js${again}`);
const NEXT = (again) => import(`./next.js${again}`);

/** The keys of the screen that is shown. */
async function keysHere() {
  const { showKeys } = await script(THE_KEYS).catch(() => ({}));
  if (!showKeys) return news(); // which tells that no server is there
  if (state) showKeys(screens().find((one) => one.key === state.shown)?.name ?? state.heading, read[state.shown]?.KEYS ?? []);
}

async function nextFinding() {
  const { showNext } = await script(NEXT).catch(() => ({}));
  if (!showNext) return news();
  return showNext({ ...view, tab }, go);
}

/** Whether anything happened; null where no server is, or none that lets this browser in. */
async function news() {
  const answer = await request(`/news?${new URLSearchParams({ tab, job: view.job })}`);
  return answer?.status === 200 ? answer.found : null;
}

function hear(what) {
  if (what.kept) kept(what.run, what.kept);
  if (!state || (what.job ?? state.job) !== state.job) return;
  if (what.run && what.run !== state.run) {
    // Another run of the server: its versions are other ones.
    load(true);
    return;
  }
  if (what.kept) {
    state.kept = what.kept;
    if (what.kept === what.version) state.trouble = "";
  }
  if (what.trouble) state.trouble = what.trouble;
  if (what.nest) return read[state.shown]?.hear?.(what);
  if (what.by) say(`Taken over: what ${what.by} changed.`);
  // A change that is not answered yet brings its own version with its answer.
  if (waiting) missed = Math.max(missed, what.version ?? 0);
  const fresh = (what.version > state.version && !waiting) || what.findings || what.by || what.made || what.news || what.trouble || state.clash || state.restore?.kind;
  // What is being typed stays as it is; the card tells what is new.
  if (fresh) load(true);
  else showCard();
}

/** Draws what waited for this. */
function letGo() {
  if (!pressed) return;
  pressed = null;
  // First comes the click.
  setTimeout(() => {
    if (cardLater) showCard();
    if (screenLater && !waiting) showScreen(screenLater.fresh);
  });
}

document.addEventListener("visibilitychange", () => {
  if (!document.hidden && state && !typing()) load();
});
addEventListener("pageshow", (event) => { if (event.persisted) location.reload(); });
addEventListener("pagehide", () => {
  document.activeElement?.blur(); // some boxes are entered as they are left
  navigator.sendBeacon("/leaving", new Blob([JSON.stringify({ tab })], { type: "application/json" }));
});
const onButton = (event) => event.key === " " && event.target.localName === "button";
const sideOf = (event) => [card, work].find((side) => side.contains(event.target)) ?? null;
addEventListener("pointerdown", (event) => { pressed = sideOf(event); }, true);
addEventListener("keydown", (event) => { if (onButton(event)) pressed = sideOf(event); }, true);
addEventListener("keyup", (event) => { if (event.key === " ") letGo(); }, true);
// A button that was let go of outside the window is not told.
addEventListener("pointermove", (event) => { if (!event.buttons) letGo(); }, true);
for (const kind of ["pointerup", "pointercancel"]) addEventListener(kind, letGo, true);
addEventListener("blur", letGo); // of the window alone
narrow.addEventListener("change", () => narrow.matches && stepInSight(card));
// Some screens draw as wide as the window is; a keyboard on the screen changes its height alone.
addEventListener("resize", () => {
  if (innerWidth === wide) return;
  wide = innerWidth;
  clearTimeout(resized);
  resized = setTimeout(() => { if (state && !typing()) showScreen(false); }, RESIZED_MS);
});
addEventListener("popstate", () => {
  const screen = location.hash.slice(1);
  const job = history.state?.job ?? view.job;
  if (!SCREENS[screen] || (screen === view.screen && job === view.job)) return;
  const here = walking = location.hash;
  go({ screen, job }).finally(() => { if (walking === here) walking = ""; });
});
addEventListener("keydown", (event) => {
  if ((event.ctrlKey || event.metaKey) && event.key.toLowerCase() === "z" && !typing()) {
    event.preventDefault();
    act(event.shiftKey ? "/redo" : "/undo");
  }
  if (event.key === "F1") {
    event.preventDefault();
    keysHere();
  }
  const free = !event.ctrlKey && !event.altKey && !event.metaKey && singleKeys() && !event.target.closest?.("input, select, textarea, dialog");
  if (free && event.key.toLowerCase() === "e" && state?.job) nextFinding();
  const step = free && state && (event.key === "0" ? screens().find((one) => one.key === "film") : screens()[Number(event.key) - 1]);
  if (step) go({ screen: step.key });
});

start();
