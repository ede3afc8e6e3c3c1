// What comes, goes, is copied, renamed or changes places: decals and shapes.

import { make, path } from "./dom.js";
import { drafting, drop, note } from "./drafts.js";
import { drawing } from "./panel.js";
import { asked, telling } from "./told.js";

const capital = (word) => word[0].toUpperCase() + word.slice(1);
const focus = (key) => document.querySelector(`[data-key="${CSS.escape(key)}"]`)?.focus();

const STRUCTURE = "structure"; // where it is told what was wrong with most of it

/** Does something; what is wrong is told beside it. Gives whether it was done. */
async function run(page, act, body, tell = telling(STRUCTURE)[1]) {
  const failed = await page.ask(`/do/${page.view.screen}/${act}`, body);
  tell(failed);
  return !failed;
}

/** The row of what can be done: with the job, and with the decal that is chosen. */
export function decalTools(screen, page) {
  const chosen = screen.decal;
  const open = (what) => page.go({ offers: page.view.offers === what ? "" : what }).then(() => focus(page.view.offers ? "offers" : `add ${what}`));
  const starter = (what) => make("button", { "data-key": `add ${what}`, "aria-expanded": String(screen.offers === what), onclick: () => open(what) }, `Add a ${what}`);
  return make("section", { class: "structure", "aria-label": "Decals and shapes" },
    make("div", { class: "acts" }, starter("decal"), chosen && starter("shape"), chosen && named("decal", chosen, "", page, { title: make("h2", {}, capital(chosen)), key: () => "rename decal", acts: [
      make("button", { "data-key": "copy", onclick: () => copy(page, chosen) }, "Copy"),
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
    const place = `name ${key(name)}`;
    const field = drafting(place, make("input", { value: name, "data-was": name, "aria-label": `New name of ${name}`, title: "Every place of the file that uses the name is changed with it.", autocomplete: "off", spellcheck: "false" }));
    const back = () => { drop(place); holder.replaceWith(title); button.hidden = false; button.focus(); };
    const keep = async () => {
      if (field.value.trim() === name || !field.value.trim()) return back();
      const to = field.value;
      drop(place);
      if (await run(page, "rename", { what, owner, name, to }, tell)) focus(key(to.trim().replace(/\s+/g, " ")));
      else {
        note(place, to);
        asked(field, key(name))?.setAttribute("aria-invalid", "true");
      }
    };
    const holder = make("span", { class: "fill" }, field);
    field.addEventListener("keydown", (event) => {
      if (event.key === "Enter") { event.preventDefault(); keep(); }
      if (event.key === "Escape") { event.preventDefault(); event.stopPropagation(); back(); }
    });
    title.replaceWith(holder);
    button.hidden = true;
    field.focus();
    field.select();
  };
  return row;
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
  else if (event.key === "PageUp" || event.key === "PageDown") order(page, "order_decal", { decal, step: event.key === "PageUp" ? -1 : 1 });
  else return false;
  event.preventDefault();
  return true;
}

const order = (page, act, body) => run(page, act, body);

/** The decals of the panel in the order they are laid on, the first at the bottom of the pile. */
export function pile(screen, page) {
  const names = screen.pile ?? [];
  if (!names.length) return null;
  return [make("h2", {}, "Laid on in this order"), make("ol", { class: "order" }, names.map((name, n) => make("li", {},
    make("button", { class: "name", "data-key": `pile ${name}`, "aria-pressed": String(name === screen.decal), onclick: () => page.go({ decal: name }), onkeydown: (event) => keys(event, name, page) }, name),
    names.length > 1 && steps(name, n, names.length, (step) => order(page, "order_decal", { decal: name, step })))))];
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
  const group = steps(shape, n, screen.shapes.length, (step) => order(page, "order_shape", { decal, number, step }),
    make("button", { "data-key": `delete ${shape} ${number}`, "aria-label": `Delete ${shape}`, onclick: away }, "delete"));
  group.addEventListener("keydown", (event) => {
    const step = { PageUp: -1, PageDown: 1 }[event.key];
    if (step) order(page, "order_shape", { decal, number, step });
    else if (event.key === "Delete") away();
    else return;
    event.preventDefault();
  });
  return group;
}

// ------------------------------------------------------------------------------------------------- the pictures
function chooser(screen, page) {
  if (!screen.offers) return null;
  const wanted = screen.offers;
  const shut = () => page.go({ offers: "" }).then(() => focus(`add ${wanted}`));
  const add = async (act, body) => { if (await run(page, act, body)) focus(`piece ${page.view.decal}`); };
  const own = wanted === "shape" && screen.own;
  const pick = (shape) => (own ? add("add_shape", { decal: screen.decal, shape }) : add("add_decal", { panel: screen.panel, shape }));
  const shapes = make("ul", { class: "offers" }, screen.shape_offers.map((one) => offer(one, shapePicture(one), () => pick(one.name))));
  const layouts = wanted === "decal" && make("ul", { class: "offers" }, screen.layouts.map((one) =>
    offer(one, drawing(one.panel, one.decal ? [one.decal] : [], screen.paint, "", null, 0.03), () => add("add_decal", { panel: screen.panel, layout: one.name }))));
  const title = wanted === "decal" ? `A decal for the ${screen.panel}` : own ? `A shape for the ${screen.decal}` : `A shape for the ${screen.panel}`;
  return frame(title, shut,
    wanted === "decal" && [make("h3", {}, "A ready layout, as it comes out on this panel"), layouts, make("h3", {}, "Or one shape to begin with")],
    wanted === "shape" && !own && make("p", {}, "The shapes of this decal are its layout's. A shape of your own comes in as a decal beside it."),
    shapes);
}

function frame(title, shut, ...inside) {
  return make("section", { class: "choose", "aria-label": title, onkeydown: (event) => { if (event.key === "Escape") { event.preventDefault(); shut(); } } },
    make("div", { class: "acts" }, make("h2", { tabindex: "-1", "data-key": "offers" }, title), make("button", { onclick: shut }, "Close")), inside);
}

function offer(one, picture, pick) {
  picture.setAttribute("aria-hidden", "true");
  return make("li", { class: one.wrong ? "no" : "" }, make("button", { "data-key": `offer ${one.name}`, onclick: pick }, picture, capital(one.name.replaceAll("-", " ")), make("span", {}, capital(one.wrong ?? one.about))));
}

function shapePicture(one) {
  const [x0, y0, x1, y1] = one.box;
  const pad = 0.04 * Math.max(x1 - x0, y1 - y0);
  return make("svg", { viewBox: `${x0 - pad} ${-y1 - pad} ${x1 - x0 + 2 * pad} ${y1 - y0 + 2 * pad}`, role: "img" },
    make("g", { transform: "scale(1,-1)" }, one.inks.map((ink) => path(ink.d, { fill: ink.colour, "fill-rule": "evenodd" }))));
}

// ------------------------------------------------------------------------------------------------ here, or for all
/** Where a change of a value goes: null for nowhere, or its place and what stands there. Asked where there are several. */
export function whereTo(one, to, holder) {
  const here = { at: one.at, raw: one.raw, label: "" };
  const named = one.home?.name && !to.includes(one.home.name) && !(to.startsWith("<") && to.endsWith(">"));
  const ways = (one.home?.ways ?? []).filter((way) => named || !way.label);
  if (!to || ways.length < 2) return Promise.resolve(to && ways.length ? ways[0] : here);
  return new Promise((done) => {
    const choose = (which) => () => { asked.remove(); done(which); };
    const asked = make("span", { class: "where", role: "group", "aria-label": "Where to change it", onkeydown: (event) => { if (event.key === "Escape") { event.stopPropagation(); choose(null)(); } } },
      make("span", {}, one.home.said),
      ways.map((way, n) => make("button", { class: n ? "" : "main", onclick: choose(way) }, way.words)));
    holder.append(asked);
    asked.querySelector("button").focus();
  });
}
