// Why something was refused, told where it was asked for. A screen may be drawn anew before the answer comes and after it:
// what is told stays all the same, until the same is asked again or something else is done.

import { fill, make, reason } from "./dom.js";
import { say } from "./passing.js";

const told = new Map(); // by what it is of: what was said, and whether only its own boxes end it

/** Whether it is told just now why that was refused. */
export const refused = (of) => told.has(of);

/** No longer told, once a box of it is typed in. */
export const untold = (of) => told.delete(of);

/** Something else is done: what was told before is of what stood there then. */
export function forgetTold() {
  for (const [of, one] of told) if (!one.stays) told.delete(of);
}

/**
 * The place where it is told why `of` was refused, and what tells it there, null for nothing. `stays`: also while something
 * else is done, as what was typed does; `draw(failed, ...)` gives what is seen of it. Where the place is not on the page
 * any more, it is said in passing.
 */
export function telling(of, { name = "p", stays = false, draw = reason, ...more } = {}) {
  const place = make(name, { class: "wrong", role: "alert", "data-told": of, ...more });
  const see = (at) => fill(at, told.has(of) ? draw(...told.get(of).said) : null);
  const tell = (failed, ...rest) => {
    if (failed) told.set(of, { said: [failed, ...rest], stays });
    else told.delete(of);
    const at = place.isConnected ? place : document.querySelector(`[data-told="${CSS.escape(of)}"]`);
    if (at) see(at);
    else if (failed) say(reason(failed));
  };
  see(place);
  return [place, tell];
}

/** Puts back what was typed and refused: drawn anew meanwhile, its box is another one. */
export function retyped(key, value) {
  const box = document.querySelector(`[data-key="${CSS.escape(key)}"]`);
  if (box) box.value = value;
  return box;
}

/** The field in which something was refused, in hand again: drawn anew meanwhile, its button is asked for it. */
export function asked(field, key) {
  if (field.isConnected) {
    field.focus();
    return field;
  }
  document.querySelector(`[data-key="${CSS.escape(key)}"]`)?.click();
  const now = document.activeElement;
  if (!now?.closest(".fill")) return null;
  now.value = field.value;
  return now;
}
