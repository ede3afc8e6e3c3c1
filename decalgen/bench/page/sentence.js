// A decal as a sentence with blanks: each blank a value of the file, that can be filled in another way.

import { make, reason } from "./dom.js";
import { draft, drafting, drop, note as noted } from "./drafts.js";
import { asked, telling } from "./told.js";

/** What a change gives that was thought better of. */
export const BACK = "back";

const BARE = /^([-\u2212]?)(\d*)(?:[.,](\d+))?\s*([a-z]+|°)?$/i; // a number alone, with or without a unit

/** What was typed into the blank of a size as a file has it: a bare number is of the blank's unit, a comma a decimal one. */
export function inUnit(typed, one) {
  const [, minus, whole, rest, its] = typed.match(BARE) ?? [];
  if (!one.unit || !(whole || rest)) return typed;
  const of = its ?? one.unit;
  return `${minus && "-"}${whole || 0}${rest ? `.${rest}` : ""}${of === "°" ? "" : " "}${of}`;
}

/** Rows of blanks, each with its name before it. */
export function rows(blanks, put) {
  return make("dl", { class: "rows" }, blanks.map((one) => [make("dt", {}, one.label), make("dd", {}, put(one))]));
}

/**
 * A value that can be filled in: a button until it is, then a field. `say(failed)` tells what was wrong with what was
 * typed; `send(one, to, holder)` makes the change and gives what was wrong, or null, or BACK.
 */
export function blank(given, say, send) {
  const one = { default: "", choices: [], words: "", comes: "", ...given };
  const shown = one.words || one.shown || one.default || "...";
  // What the layout says instead of a value of one's own is told once it is asked about.
  const worth = one.comes || (one.shown && one.at[2] !== "values" ? one.default : "");
  const aside = worth && worth !== shown ? make("em", {}, worth) : null;
  const fixed = one.home?.fixed;
  const place = `blank ${one.at.join(" ")}`;
  const typed = fixed ? undefined : draft(place);
  const button = make("button", {
    class: `blank${one.shown ? "" : " unset"}${fixed ? " fixed" : ""}`, title: one.help, "data-key": place,
    "aria-label": `${one.label}: ${shown}. ${fixed ? "Where to change it." : typed === undefined ? "Change it." : `Typed and not entered: ${typed}.`}`, onclick: () => (fixed ? tell() : ask()),
  }, shown, aside, typed !== undefined && make("em", { class: "typed" }, `typed: ${typed}`));
  /** Where a value is that cannot be changed here. */
  function tell() {
    const shut = () => { told.replaceWith(button); button.focus(); };
    const told = make("span", { class: "where", role: "group", "aria-label": `Where ${one.label} is`, onkeydown: (event) => { if (event.key === "Escape") { event.preventDefault(); shut(); } } },
      make("span", {}, make("b", {}, shown), " ", one.home.said), make("button", { onclick: shut }, "Close"));
    button.replaceWith(told);
    told.querySelector("button").focus();
  }
  function ask() {
    const field = one.choices.length
      ? make("select", { "aria-label": one.label, title: one.help }, [...new Set([one.shown, ...one.choices])].filter(Boolean).map((word) => make("option", { selected: word === one.shown }, word)))
      : drafting(place, make("input", { value: one.shown, "data-was": one.shown, "aria-label": one.label, title: one.help, autocomplete: "off", spellcheck: "false" }));
    if (one.choices.length && !one.shown) field.prepend(make("option", { value: "", selected: true }, one.default || "..."));
    // What is asked about is said with the question.
    const note = one.home?.said && !one.home.ways.length ? make("span", { class: "quiet note", id: "note" }, one.home.said) : null;
    if (note) field.setAttribute("aria-describedby", "note");
    const holder = make("span", { class: "fill" }, field, note);
    const back = () => {
      say(null);
      if (drop(place) !== undefined) button.querySelector(".typed")?.remove();
      holder.replaceWith(button);
      button.focus();
    };
    const keep = async () => {
      const to = inUnit(field.value.trim(), one);
      if (to === one.shown) return back();
      say(null);
      drop(place);
      const failed = await send(one, to, holder);
      if (failed === BACK) back();
      else if (failed) {
        noted(place, to);
        refused(field, failed, say, one);
      }
    };
    field.addEventListener("keydown", (event) => {
      if (event.key === "Enter") { event.preventDefault(); keep(); }
      if (event.key === "Escape") { event.preventDefault(); back(); }
    });
    if (one.choices.length) field.addEventListener("change", keep);
    button.replaceWith(holder);
    field.focus();
    field.select?.();
  }
  return button;
}

/** What was typed stays in its field, with the caret at the character that is wrong. */
function refused(field, failed, say, one) {
  const now = asked(field, `blank ${one.at.join(" ")}`);
  say(failed, field.value);
  now?.setAttribute("aria-invalid", "true");
  now?.setAttribute("aria-describedby", "wrong");
  if (failed.spot) now?.setSelectionRange?.(failed.spot[0], failed.spot[0] + failed.spot[1]);
}

/** Where a screen says what is wrong with a value: the words, the fix, and a caret under the character. */
export function wrongWords(id = "wrong") {
  const draw = (failed, typed = "") => [
    failed.spot && make("pre", { class: "spot", "aria-hidden": "true" }, `${typed.trim()}\n${" ".repeat(failed.spot[0])}${"^".repeat(Math.max(1, failed.spot[1]))}`),
    make("p", { class: "wrong" }, reason(failed)), make("p", { class: "quiet" }, "The drawing shows the value before it.")];
  const [box, tell] = telling(id, { name: "div", class: "", id, draw });
  const say = (failed, ...typed) => {
    tell(failed, ...typed);
    if (failed) document.getElementById(id)?.scrollIntoView({ block: "nearest" });
  };
  return [box, say];
}
