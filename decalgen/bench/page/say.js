// The shapes of a decal: each a sentence with blanks, and under "Say more" every key that it may have.

import { shapeTools } from "./adding.js";
import { make } from "./dom.js";
import { drafted } from "./drafts.js";
import { script } from "./loading.js";

const EVERY = (again) => import(`./every_key.js${again}`);
let every = null; // that script, once it is read

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
  return make("details", { open: open.has(key), ontoggle: turn },
    make("summary", { "data-key": `more ${key}` }, `Say more of the ${shape.shape}`, drafted(`say ${key} `) && make("em", {}, " typed, not put into the file yet")), shape.all.length > 0 && keysOf(shape, page));
}

function keysOf(shape, page) {
  if (every) return every.keysOf(shape, page);
  const place = make("div", {});
  script(EVERY).then((found) => { every = found; place.replaceWith(every.keysOf(shape, page)); }, () => null);
  return place;
}
