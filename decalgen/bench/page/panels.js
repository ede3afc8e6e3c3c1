// Panels and obstacles: added by choosing their kind from drawings, renamed, deleted.

import { make, path, reason } from "./dom.js";
import { field, form } from "./fields.js";
import { drafting, drop, note } from "./drafts.js";
import { once, single } from "./once.js";
import { retyped, telling } from "./told.js";

/** A drawing of a kind. */
function picture(found) {
  const [x0, y0, x1, y1] = found.box;
  return make("svg", { viewBox: `${x0} ${-y1} ${x1 - x0} ${y1 - y0}`, "aria-hidden": "true" },
    make("g", { transform: "scale(1,-1)" }, found.items.map((one) => path(one.d, { class: one.kind, "fill-rule": "evenodd" }))));
}

/** The form for a new panel or obstacle. */
export function adding(screen, page) {
  const what = screen.adding;
  const on = page.view.addingTo || screen.names[0]?.name || "";
  const [wrong, tell] = telling(`adding ${what} ${on}`, { id: "wrong" });
  const place = (key) => `adding ${what} ${key}`;
  const name = drafting(place("name"), make("input", { "data-key": "adding name", "data-was": "", autocomplete: "off", spellcheck: "false", maxlength: 60, "aria-describedby": "wrong", title: "What your decals, and sizes in expressions, call it." }));
  const more = make("div", { class: "line" });
  const kept = { kind: screen.kinds[0].name };
  const kinds = make("div", { class: "kinds", role: "radiogroup", "aria-label": `Kind of ${what}` }, screen.kinds.map((one, n) =>
    make("label", { class: "kind" },
      make("input", { type: "radio", name: "kind", value: one.name, checked: !n, "data-key": `kind ${one.name}`, title: one.about, onchange: () => { kept.kind = one.name; ask(one); } }),
      make("b", {}, one.name), picture(one.drawing), make("span", {}, one.about))));

  function ask(kind) {
    const fields = [];
    if (kind.ways?.length) fields.push(choice("way", "Which of its sizes will you measure?", kind.ways));
    if (kind.bends) fields.push(choice("bend", "Which way does it bend?", Object.entries(BENDS), "Which way the bend runs as you look at the panel."));
    if (kind.points) fields.push(field("points", what === "panel" ? "How many corners" : "How many points", kind.points));
    if (kind.full) fields.push(field("full width", "Full-size width, such as 1.62 m"), field("full height", "Full-size height"));
    if (kind.clearance !== undefined && kind.clearance) fields.push(field("clearance", "How far decals keep away from it, mm", kind.clearance));
    more.replaceChildren(...fields);
  }
  const field = (key, label, value = "") => make("label", {}, make("span", {}, label), drafting(place(key), make("input", { name: key, value, "data-was": value, title: `${label}.`, "data-key": `adding ${key}`, autocomplete: "off", spellcheck: "false" })));
  const choice = (key, label, several, title = "Its readings are asked for next.") => make("label", {}, make("span", {}, label),
    make("select", { name: key, title, "data-key": `adding ${key}` }, several.map((one) => [one].flat()).map(([value, words = value]) => make("option", { value }, words))));

  const hand = what === "panel" && make("fieldset", { class: "hands" }, make("legend", {}, "Which side do you measure?"), screen.hands.map((one, n) =>
    make("label", { class: "tick" }, make("input", { type: "radio", name: "hand", value: one, checked: !n, "data-key": `hand ${one}`, title: "The other side, if there is one, is drawn as its mirror image." }), HANDS[one] ?? one)));
  const leave = () => {
    [...form.elements].filter((one) => one.dataset.key?.startsWith("adding ")).forEach((one) => drop(place(one.dataset.key.slice(7))));
    return page.go({ adding: "", addingTo: "" });
  };
  const form = make("form", { class: "adding", onsubmit: (event) => { event.preventDefault(); once(page, place("add"), add); } },
    make("label", { class: "named" }, make("span", {}, what === "panel" ? "Name of the panel, such as door" : `Name of the obstacle on the ${on}, such as handle`), name),
    make("h2", {}, what === "panel" ? "What kind is it? Measure along the arrows." : "What shape has it?"), kinds,
    more, hand,
    wrong,
    make("p", { class: "line" }, make("button", { class: "main", "data-key": "add", onclick: single() }, `Add the ${what}`),
      screen.names.length ? make("button", { type: "button", "data-key": "leave", onclick: leave }, "Cancel") : null));
  async function add() {
    const asked = Object.fromEntries(new FormData(form));
    const before = { adding: page.view.adding, addingTo: page.view.addingTo };
    Object.assign(page.view, { adding: "", addingTo: "" });
    delete sessionStorage.asking;
    const drafts = Object.keys({ ...asked, name: "" }).map((key) => [place(key), drop(place(key))]);
    const failed = await page.ask(`/do/measure/add_${what}`, { ...asked, name: name.value, panel: on });
    if (!failed) return document.querySelector(".boxes input")?.focus();
    for (const [key, typed] of drafts) if (typed !== undefined) note(key, typed);
    Object.assign(page.view, before);
    if (!form.isConnected) {
      // Something else was shown meanwhile: back to what was typed.
      await page.go({});
      document.querySelector(`[data-key="${CSS.escape(`kind ${kept.kind}`)}"]`)?.click();
      document.querySelector(`[data-key="${CSS.escape(`hand ${asked.hand}`)}"]`)?.click();
      Object.entries({ ...asked, name: name.value }).forEach(([key, value]) => retyped(`adding ${key}`, value));
    }
    tell(failed);
    return document.querySelector('[data-key="adding name"]')?.focus();
  }
  ask(screen.kinds[0]);
  // What was clicked to come here is gone.
  queueMicrotask(() => (!screen.names.length || document.activeElement === document.body) && name.focus());
  return form;
}

const HANDS = { neither: "neither: nose, tail, roof, bonnet", left: "the left; the right is its mirror image", right: "the right; the left is its mirror image" };

const BENDS = { across: "from side to side, like a roof", up: "from top to bottom, like a door" };

/** Goes on where a panel was moved: on the other button where it is the first or the last by now. */
function atHand(word, at) {
  const found = ["Earlier", "Later"].map((one) => document.querySelector(`[data-key="${CSS.escape(`${one} ${at.join(" ")}`)}"]`));
  (found.find((one) => one?.dataset.key.startsWith(word) && !one.disabled) ?? found.find((one) => one && !one.disabled))?.focus();
}

/** What can be done to the panels that are there. */
export function managing(screen, page, asked = "") {
  // The decals on a panel go with it once that is agreed.
  const agreed = (failed, at) => [reason(failed), " ", at && failed.fix?.startsWith("delete ") && make("button", { type: "button", "data-key": "delete with decals", onclick: () => remove(at, { with_decals: true }) }, `Delete ${at[1]} and its decals`)];
  const [wrong, tell] = telling("managing", { draw: agreed });
  const rename = async (at, name) => {
    const place = `name ${at.join(" ")}`;
    drop(place);
    const failed = await page.ask("/do/measure/rename", { at, name });
    if (failed) {
      note(place, name);
      retyped(place, name);
    }
    tell(failed);
  };
  const remove = async (at, too = {}) => {
    tell(await page.ask("/do/measure/remove", { at, ...too }), at);
    document.querySelector('[data-key="delete with decals"]')?.focus();
  };
  const order = (at, label, n) => (screen.names.length < 2 ? null : make("p", { class: "line", role: "group", "aria-label": `Order of ${label}` },
    [[-1, "Earlier", n === 0], [1, "Later", n === screen.names.length - 1]].map(([step, word, off]) => make("button", {
      type: "button", disabled: off, "data-key": `${word} ${at.join(" ")}`, "aria-label": `${label}: ${word.toLowerCase()}`, onclick: async () => { tell(await page.ask("/do/measure/move", { at, step })); atHand(word, at); },
    }, word))));
  const row = (at, label, n = -1) => {
    const name = drafting(`name ${at.join(" ")}`, make("input", { value: label, "data-was": label, "data-key": `name ${at.join(" ")}`, "aria-label": `Name of ${label}`, title: "Every place of the file that uses the name is changed with it.", autocomplete: "off", spellcheck: "false" }));
    return make("form", { class: `renaming${at.length > 2 ? " of-panel" : ""}`, onsubmit: (event) => { event.preventDefault(); if (name.value.trim() !== label) rename(at, name.value); } },
      name, make("button", { "data-key": `rename ${at.join(" ")}`, "aria-label": `Rename ${label}` }, "Rename"),
      make("button", { type: "button", "data-key": `delete ${at.join(" ")}`, "aria-label": `Delete ${label}`, onclick: () => remove(at) }, "Delete"), n < 0 ? null : order(at, label, n));
  };
  const on = [asked, page.view.panel, screen.names[0]?.name].find((name) => screen.names.some((one) => one.name === name));
  return make("div", { class: "managing" },
    make("h2", {}, "The panels"),
    make("p", { class: "line" },
      make("button", { "data-key": "add panel", onclick: () => page.go({ adding: "panel" }) }, "Add a panel"),
      on && make("button", { "data-key": `obstacle ${on}`, title: "A handle, gap, rivet or vent that decals keep clear of.", onclick: () => page.go({ adding: "obstacle", addingTo: on }) }, `Add an obstacle to the ${on}`)),
    make("details", {}, make("summary", {}, "Rename, order or delete"), wrong,
      screen.names.map((one, n) => [row(["panels", one.name], one.name, n), one.obstacles.map((label) => row(["panels", one.name, "obstacles", label], label))])));
}

/** A box for a reading that is open in a file that the job includes. */
export function readingOf(one, page) {
  const key = `reading ${one.file} ${one.at.join(" ")}`;
  return form(page, "/do/measure/included", { label: `${one.name}, in ${one.file}`, button: "Keep it for every job that includes it", quiet: true, also: { file: one.file, at: one.at } },
    field(key, one.name, { unit: one.unit, name: "to", job: page.view.job, inputmode: "decimal", title: "What you measured; several with spaces between." }));
}
