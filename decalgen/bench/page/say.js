// The shapes of a decal: each a sentence with blanks, and under "Say more" every key that it may have.

import { shapeTools } from "./adding.js";
import { make } from "./dom.js";
import { draft, drafted, drafting, drop, note } from "./drafts.js";
import { inUnit } from "./sentence.js";
import { retyped, telling, untold } from "./told.js";

/** The shapes in the order they are painted. `put(blank)`: a blank of the sentence. */
export function shapes(screen, page, put) {
  if (!screen.shapes.length) return null;
  return [make("h2", {}, "Painted in this order"), make("ol", { class: "shapes" }, screen.shapes.map((shape, n) => make("li", {},
    make("span", { class: "painted" }, shape.said.map((one) => put(typeof one === "number" ? shape.blanks[one] : one))), " ", shapeTools(screen, page, n), shape.more && more(shape, page))))];
}

function more(shape, page) {
  const key = shape.at.join(" ");
  // Sent once it is asked for.
  const open = new Set((page.view.says ?? "").split("\n").filter(Boolean));
  const turn = (event) => {
    const unfolded = event.target.open;
    if (unfolded === open.has(key)) return;
    open[unfolded ? "add" : "delete"](key);
    page.go({ says: [...open].join("\n") });
  };
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
  const form = make("form", { class: "saymore", "aria-label": `Every key of ${shape.shape}`, oninput: () => untold(`say ${key}`), onsubmit: send },
    boxes.map(([one, made]) => make("label", {}, make("span", {}, one.label, one.default && make("em", {}, ` ${one.default}`)), made, make("small", { id: help(one), class: "quiet", "aria-hidden": "true" }, one.help))),
    make("div", { class: "acts" }, make("button", { class: "main", "data-key": `send ${key}` }, "Put it into the file")), wrong);
  return make("details", { open: open.has(key), ontoggle: turn },
    make("summary", { "data-key": `more ${key}` }, `Say more of the ${shape.shape}`, drafted(`say ${key} `) && make("em", {}, " typed, not put into the file yet")), shape.all.length > 0 && form);
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
