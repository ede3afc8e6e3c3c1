// Sheet: the pieces on the film as they will be printed. Nest them, watch the best so far, stop and keep; move, turn, pin.

import { capital, fill, make } from "./dom.js";
import { singleKeys } from "./single.js";
import { press } from "./once.js";
import { idOf, scaleOf, sheets } from "./sheet_film.js";
import { side } from "./sheet_side.js";
import { refused, telling, untold } from "./told.js";

export const KEYS = [["Page Down", "the next piece"], ["← →", "move it 1 mm"], ["Shift", "0.1 mm"], ["S", "to the next sheet"], ["P", "pin"], ["T", "turn"], ["N", "nest"]];
const SAYS = "sheet"; // the line below the film
const MOST_BUTTONS = 3; // of the ways to another sheet
let arts = { name: "", drawings: {} }; // sent once, and again only when a decal changed
let shown = null; // what is on the page: { root, screen, page }
let watching = false;

export function show(root, screen, page) {
  if (screen.arts) arts = { name: screen.arts_name, drawings: screen.arts };
  page.view.arts = arts.name;
  if (screen.piece) page.view.piece = screen.piece.id;
  const [says, refuse] = telling(SAYS, { class: `says${refused(SAYS) ? " wrong" : ""}`, role: "status", "aria-live": "polite" });
  const drawn = make("div", { class: "table" });
  shown = { root, screen, page, says, drawn };
  const doing = async (name, more = {}) => {
    if (more.piece) page.view.piece = more.piece;
    const failed = await page.ask(`/do/sheet/${name}`, more);
    if (!failed && more.piece && document.activeElement?.matches?.(".lying, body")) at(page.view.piece)?.focus();
    if (failed) {
      refuse(failed);
      shown.says.classList.add("wrong");
    }
    return failed;
  };
  fill(root,
    make("div", { class: "spread" },
      make("div", {}, tools(screen, doing), notices(screen), drawn, says, sentence(screen, page, doing), lines(screen)),
      side(screen, doing)));
  draw(screen.sheets, !screen.nested || screen.nesting, doing);
  root.onkeydown = (event) => {
    const field = event.target.matches?.("input, select, textarea");
    if (event.key.toLowerCase() === "n" && singleKeys() && !field && !event.ctrlKey && !event.altKey && !event.metaKey && !screen.busy) doing("nest");
  };
  if (screen.nesting) watch();
}

/** How far a nest is, as it goes on. */
export function hear(what) {
  if (what.nest) watch();
}

async function watch() {
  if (watching || !shown?.root.isConnected) return;
  watching = true;
  const found = await question("/ask/sheet/best", { arts: arts.name });
  watching = false;
  if (found?.arts) arts = { name: found.arts_name, drawings: found.arts };
  if (!found?.sheets?.length || !shown.root.isConnected) return;
  const bar = shown.root.querySelector("progress");
  if (bar) bar.value = found.part;
  const words = shown.root.querySelector("#nest-words");
  if (words) fill(words, found.words);
  draw(found.sheets, true, () => null);
}

/** Asks something that changes nothing. Gives the answer, or null. */
async function question(path, body) {
  const answer = await shown.page.request(path, { ...body, view: shown.page.view });
  return answer?.status === 200 ? answer.found : null;
}

/** A piece as it is drawn now. */
const at = (id) => document.querySelector(`[data-key="piece ${CSS.escape(id)}"]`);

function tell(words, wrong) {
  if (!shown) return;
  untold(SAYS);
  fill(shown.says, words);
  shown.says.classList.toggle("wrong", wrong);
}

function draw(found, still, doing) {
  const { root, page, drawn } = shown;
  if (!found.length) {
    fill(drawn);
    return;
  }
  const column = drawn.clientWidth || root.clientWidth || 700;
  const scale = scaleOf(found, column, Math.max(300, innerHeight - 330)) * (sessionStorage.sheetCloser ? 2 : 1);
  drawn.classList.toggle("closer", Boolean(sessionStorage.sheetCloser));
  const all = found.flatMap((one) => one.pieces);
  const desk = {
    arts: arts.drawings, chosen: page.view.piece ?? "", still, first: "",
    question, tell, act: doing,
    choose: (id) => page.go({ piece: id }),
    /** To the sheet after its own that takes it; the first comes after the last. */
    next(id) {
      const own = found.find((sheet) => sheet.pieces.some((one) => idOf(one) === id));
      const after = found.slice(found.indexOf(own) + 1).concat(found.slice(0, found.indexOf(own))).find((one) => one.kind === own.kind);
      if (after) doing("to_sheet", { piece: id, sheet: after.index });
      else tell("There is no other sheet of this kind of film.", false);
    },
    pin: (one) => doing(one.pinned ? "unpin" : "pin", { piece: idOf(one) }),
    async step(id, by) {
      const ids = all.map(idOf);
      const to = ids[(ids.indexOf(id) + by + ids.length) % ids.length];
      await page.go({ piece: to });
      at(to)?.focus();
    },
  };
  if (!all.some((one) => idOf(one) === desk.chosen)) desk.first = all.length ? idOf(all[0]) : "";
  fill(drawn, sheets(found, scale, desk));
}

function tools(screen, doing) {
  if (screen.nesting) {
    return make("div", { class: "tools nesting" },
      make("progress", { max: "1", value: "0", "aria-label": "How far the nest is" }),
      make("span", { id: "nest-words" }, "nesting ..."),
      make("button", { class: "main", "data-key": "stop", onclick: press(shown.page, "stop", () => doing("stop")) }, "Stop and keep"));
  }
  const closer = make("button", { "data-key": "closer", "aria-pressed": String(Boolean(sessionStorage.sheetCloser)), onclick: () => {
    sessionStorage.sheetCloser = sessionStorage.sheetCloser ? "" : "yes";
    show(shown.root, shown.screen, shown.page);
    shown.root.querySelector("[data-key='closer']")?.focus();
  } }, "Twice the size");
  const name = screen.busy ? `${screen.busy} ...` : screen.nested ? "Nest again" : "Nest";
  return make("div", { class: "tools" },
    make("button", { class: "main", "data-key": "nest", disabled: Boolean(screen.busy), onclick: press(shown.page, "nest", () => doing("nest")) }, name),
    screen.sheets.length ? closer : null,
    screen.moved ? make("button", { "data-key": "back", onclick: () => doing("back") }, `Take back: ${screen.moved}`) : null,
    screen.nested ? make("span", { class: "quiet" }, "Pinned pieces stay where they are.") : null);
}

function notices(screen) {
  const { message, fix } = screen.wrong;
  return make("div", { class: "notices" },
    message ? make("div", { class: "mistake", role: "alert" }, make("p", {}, message), fix ? make("p", { class: "quiet" }, fix) : null) : null,
    screen.lacking ? make("p", { class: "warning" }, screen.lacking) : null,
    screen.since.length ? make("p", { class: "warning" }, `Make the proof again: ${screen.since.join("; ")}.`) : null);
}

function sentence(screen, page, doing) {
  const keys = make("p", { class: "keys" }, KEYS.map(([key, words]) => [make("kbd", {}, key), words]));
  if (!screen.nested || screen.nesting) return null;
  const one = screen.piece;
  if (!one) return make("div", {}, make("p", { class: "quiet" }, "Choose a piece to pin it, turn it or print one less; drag it to move it."), keys);
  return make("section", { class: "chosen-piece", "aria-label": "The chosen piece" },
    make("p", { class: "sentence-of" }, one.sentence),
    one.wrong.map((words) => make("p", { class: "wrong" }, `It ${words}.`)),
    make("div", { class: "tools" },
      one.pinned ? make("button", { "data-key": "pin", onclick: () => doing("unpin", { piece: one.id }) }, "Let go of it")
        : make("button", { "data-key": "pin", disabled: Boolean(one.no_pin), title: one.no_pin, onclick: () => doing("pin", { piece: one.id }) }, "Pin it here"),
      make("button", { "data-key": "turn", disabled: !one.turns, title: one.turns ? "" : "its decal says turn: no", onclick: () => doing("turn", { piece: one.id }) }, "Turn it"),
      toSheet(one, doing),
      make("button", { "data-key": "less", onclick: () => doing("less", { piece: one.id }) }, capital(one.less))),
    one.no_pin ? make("p", { class: "quiet" }, `${one.no_pin}.`) : null, keys);
}

/** The way to another sheet: a button, or where there are many a choice. */
function toSheet(one, doing) {
  const go = (sheet) => doing("to_sheet", { piece: one.id, sheet });
  if (one.sheets.length <= MOST_BUTTONS) return one.sheets.map((n) => make("button", { "data-key": `to sheet ${n}`, onclick: () => go(n) }, `To sheet ${n}`));
  return make("select", { "data-key": "to sheet", "aria-label": "To another sheet", onchange: (event) => event.target.value && go(Number(event.target.value)) },
    make("option", { value: "" }, "To sheet ..."), one.sheets.map((n) => make("option", { value: String(n) }, `sheet ${n}`)));
}

function lines(screen) {
  if (!screen.lines.length) return null;
  return make("div", {}, make("h2", {}, "What is left, and what it costs"), make("ul", { class: "plain" }, screen.lines.map((line) => make("li", {}, line.trim()))));
}
