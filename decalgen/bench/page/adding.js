// What comes, goes, is copied, renamed or changes places: decals and shapes.

import { capital, make } from "./dom.js";
import { chooseFile } from "./dropping.js";
import { script } from "./loading.js";
import { press } from "./once.js";
import { telling } from "./told.js";

export const focus = (key) => document.querySelector(`[data-key="${CSS.escape(key)}"]`)?.focus();

const REST_MS = 300; // so long after the first drawing what asks for names and places is read
let [offers, asking] = [null, null]; // the scripts of what can be added, and of what is asked, once they are read
const STRUCTURE = "structure"; // where it is told what was wrong with most of it

/** Does something; what is wrong is told beside it. Gives whether it was done. */
export async function run(page, act, body, tell = telling(STRUCTURE)[1]) {
  const failed = await page.ask(`/do/${page.view.screen}/${act}`, body);
  tell(failed);
  return !failed;
}

const ASKING = (again) => import(`./asking.js${again}`);
const OFFERS = (again) => import(`./offers.js${again}`);
const readAsking = () => script(ASKING).then((found) => { asking = found; return found; }, () => null);
setTimeout(readAsking, REST_MS);

const readOffers = () => script(OFFERS).then((found) => { offers = found; }, () => null);

/** What can be added, drawn by a script that is read once it is asked for. */
function chooser(screen, page) {
  if (!screen.offers) return null;
  if (offers) return offers.chooser(screen, page);
  const place = make("div", {});
  readOffers().then(() => place.replaceChildren(offers?.chooser(screen, page) ?? ""));
  return place;
}

/** The row of what can be done: with the job, and with the decal that is chosen. */
export function decalTools(screen, page) {
  const chosen = screen.decal;
  const open = async (what) => {
    await readOffers();
    await page.go({ offers: page.view.offers === what ? "" : what });
    focus(page.view.offers ? "offers" : `add ${what}`);
  };
  const starter = (what) => make("button", { class: what === "decal" && !chosen && "main", "data-key": `add ${what}`, "aria-expanded": String(screen.offers === what), onclick: () => open(what) }, `Add a ${what}`);
  return make("section", { class: "structure", "aria-label": "Decals and shapes" },
    make("div", { class: "acts" }, starter("decal"), chosen && starter("shape"), chooseFile(screen, (body) => dropped(page, body)), chosen && named("decal", chosen, "", page, { title: make("h2", {}, capital(chosen)), key: () => "rename decal", acts: [
      make("button", { "data-key": "copy", onclick: press(page, "copy", () => copy(page, chosen)) }, "Copy"),
      make("button", { "data-key": "delete", onclick: () => remove(page, chosen) }, "Delete")] })),
    telling(STRUCTURE)[0], gone(page), chooser(screen, page));
}

/**
 * A name with what can be done with it; renamed in place. `title`: how it is shown; `key(name)`: what its button is known
 * by; `tell`: tells a refusal.
 */
export function named(what, name, owner, page, { title, key, acts = [], tell = undefined }) {
  const button = make("button", { "data-key": key(name), "aria-label": `Rename ${name}`, onclick: () => ask() }, "Rename");
  const row = make("div", { class: "acts" }, title, button, acts);
  const ask = () => {
    const given = { what, name, owner, page, title, key, tell, button };
    if (asking) asking.askName(given);
    else readAsking().then((found) => found?.askName(given));
  };
  return row;
}

/** Hands a file of one's own to the server. */
export async function dropped(page, body) {
  page.view.face = "";
  if (!await run(page, "drop_file", body)) return;
  if (page.view.face) page.say(`‘${page.view.face}’ is a face of the job now, offered first where a lettering shows other faces.`);
  else focus(`piece ${page.view.decal}`);
}

/** Prints a colour of a drawing in another ink. */
export async function matched(page, body) {
  if (await run(page, "match_ink", body)) focus(`ink of ${body.number} ${body.colour}`);
}

async function copy(page, decal) {
  if (await run(page, "copy_decal", { decal })) focus(`piece ${page.view.decal}`);
}

async function remove(page, decal) {
  if (await run(page, "delete_decal", { decal })) focus("put back");
}

/** What was deleted last can be put back where it went. */
function gone(page) {
  if (!page.undo.endsWith(" deleted")) return null;
  return make("p", { class: "gone" }, make("span", { role: "status" }, `${capital(page.undo)}.`),
    make("button", { "data-key": "put back", onclick: () => page.ask("/undo").then(() => focus("add decal")) }, "Put it back"));
}

/** Keys on a decal: Delete, Page Up and Page Down. Gives whether it was one of them. */
export function keys(event, decal, page) {
  if (event.key === "Delete") remove(page, decal);
  else if (event.key === "PageUp" || event.key === "PageDown") run(page, "order_decal", { decal, step: event.key === "PageUp" ? -1 : 1 });
  else return false;
  event.preventDefault();
  return true;
}

/** The decals of the panel in the order they are laid on, the first at the bottom of the pile. */
export function pile(screen, page) {
  const names = screen.pile ?? [];
  if (!names.length) return null;
  return [make("h2", {}, "Laid on in this order"), make("ol", { class: "order" }, names.map((name, n) => make("li", {},
    make("button", { class: "name", "data-key": `pile ${name}`, "aria-pressed": String(name === screen.decal), onclick: () => page.go({ decal: name }), onkeydown: (event) => keys(event, name, page) }, name),
    names.length > 1 && steps(name, n, names.length, (step) => run(page, "order_decal", { decal: name, step })))))];
}

/** Two buttons that change the order. */
function steps(name, n, count, move, more = null) {
  const one = (step, word, off) => make("button", { disabled: off, "data-key": `${word} ${name} ${n + step}`, "aria-label": `${name}: ${word}`, onclick: () => move(step).then(() => focus(`${word} ${name} ${n + step + step}`)) }, word);
  return make("span", { class: "small-acts", role: "group", "aria-label": `Order of ${name}` }, one(-1, "earlier", n === 0), one(1, "later", n === count - 1), more);
}

/** What can be done with a shape of the chosen decal. */
export function shapeTools(screen, page, n) {
  const decal = screen.decal;
  const { shape, at } = screen.shapes[n];
  const number = at[3];
  const away = async () => { if (await run(page, "delete_shape", { decal, number })) focus("put back"); };
  const group = steps(shape, n, screen.shapes.length, (step) => run(page, "order_shape", { decal, number, step }),
    make("button", { "data-key": `delete ${shape} ${number}`, "aria-label": `Delete ${shape}`, onclick: away }, "delete"));
  group.addEventListener("keydown", (event) => {
    const step = { PageUp: -1, PageDown: 1 }[event.key];
    if (step) run(page, "order_shape", { decal, number, step });
    else if (event.key === "Delete") away();
    else return;
    event.preventDefault();
  });
  return group;
}

// ------------------------------------------------------------------------------------------------ here, or for all
/** Where a change of a value goes: null for nowhere, or its place and what stands there. Asked where there are several. */
export async function whereTo(one, to, holder) {
  const named = one.home?.name && !to.includes(one.home.name) && !(to.startsWith("<") && to.endsWith(">"));
  const ways = (one.home?.ways ?? []).filter((way) => named || !way.label);
  // A value of another file cannot be taken away from here.
  if (!to && ways[0]?.file && !one.home.name) return null;
  // What other jobs have too is asked about even where there is no other way.
  if (!to || (ways.length < 2 && !ways[0]?.file)) return to && ways.length ? ways[0] : { at: one.at, raw: one.raw, label: "" };
  return (await readAsking())?.askWhere(one.home.said, ways, holder) ?? null;
}
