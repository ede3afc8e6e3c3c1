// Why something was refused, told where it was asked for until something else is done, also on a screen drawn anew.

import { fill, make, reason } from "./dom.js";
import { say } from "./passing.js";
import { onTurn } from "./turning.js";

const told = new Map(); // by what it is of

onTurn(() => told.clear());

/** Whether it is told just now why that was refused. */
export const refused = (of) => told.has(of);

/** No longer told, once a box of it is typed in. */
export const untold = (of) => told.delete(of);

/** Something else is done. */
export function forgetTold() {
  for (const [of, one] of told) if (!one.stays) told.delete(of);
}

const toldAt = (of) => document.querySelector(`[data-told="${CSS.escape(of)}"]`);

/** What was at work is done: what it refused is told no longer. */
export function worked() {
  for (const [of, one] of told) if (one.said[0].busy && told.delete(of) && toldAt(of)) fill(toldAt(of));
}

/**
 * The place where it is told why `of` was refused, and what tells it there (null: nothing); in passing, where the place is
 * gone. `stays`: also while something else is done, as what was typed does; `draw(failed, ...)`: what is seen of it.
 */
export function telling(of, { name = "p", stays = false, draw = reason, ...more } = {}) {
  const place = make(name, { class: "wrong", role: "alert", "data-told": of, ...more });
  const see = (at) => fill(at, told.has(of) ? draw(...told.get(of).said) : null);
  const tell = (failed, ...rest) => {
    if (failed) told.set(of, { said: [failed, ...rest], stays });
    else told.delete(of);
    const at = place.isConnected ? place : toldAt(of);
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
