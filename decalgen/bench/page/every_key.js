// Every key that a shape of a decal may have, each in a box of its own: filled in and put into the file in one step.

import { make } from "./dom.js";
import { draft, drafting, drop, note } from "./drafts.js";
import { inUnit } from "./sentence.js";
import { retyped, telling, untold } from "./told.js";

/** The boxes of a shape. */
export function keysOf(shape, page) {
  const key = shape.at.join(" ");
  const [wrong, tell] = telling(`say ${key}`, { stays: true });
  const boxes = shape.all.map((one) => [one, box(one)]);
  const send = async (event) => {
    event.preventDefault();
    const typed = (one, made) => inUnit(made.value.trim(), one);
    const keys = boxes.filter(([one, made]) => typed(one, made) !== one.shown).map(([one, made]) => ({ at: one.at, to: typed(one, made), was: one.raw ?? null }));
    if (!keys.length) {
      tell({ message: "Nothing was changed." });
      untold(`say ${key}`);
      return;
    }
    const drafts = keys.map((one) => [`say ${one.at.join(" ")}`, one.to]);
    drafts.forEach(([place]) => drop(place));
    const failed = await page.ask("/do/draw/say", { at: shape.at, keys });
    if (failed) {
      drafts.forEach(([place, to]) => {
        note(place, to);
        retyped(place, to);
      });
    }
    tell(failed);
  };
  return make("form", { class: "saymore", "aria-label": `Every key of ${shape.shape}`, oninput: () => untold(`say ${key}`), onsubmit: send },
    boxes.map(([one, made]) => make("label", {}, make("span", {}, one.label, one.default && make("em", {}, ` ${one.default}`)), made, make("small", { id: help(one), class: "quiet", "aria-hidden": "true" }, one.help))),
    make("div", { class: "acts" }, make("button", { class: "main", "data-key": `send ${key}` }, "Put it into the file")), wrong);
}

const help = (one) => `help ${one.at.join(" ")}`.replaceAll(" ", "-");

/** A box for a key, or a choice of words. */
function box(one) {
  const place = `say ${one.at.join(" ")}`;
  const more = { "data-key": place, "data-was": one.shown, "aria-describedby": help(one) };
  if (!one.choices) return drafting(place, make("input", { ...more, value: one.shown, autocomplete: "off", spellcheck: "false" }));
  const words = [...new Set(["", draft(place) ?? one.shown, one.shown, ...one.choices])];
  return drafting(place, make("select", more, words.map((word) => make("option", { value: word, selected: word === one.shown }, word || "left out"))));
}
