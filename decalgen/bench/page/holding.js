// Decals held by hand or by the arrow keys, one or several together; what they catch on is said while one looks.

import { make } from "./dom.js";
import { onTurn } from "./turning.js";

const MM = 1000;
const NEAR = 6; // pixels within which something is caught
const SAME = 5; // µm that count as the same place
let together = new Set(); // names of the decals that are moved together
let of = ""; // the panel they are on
let several = false; // whether a click chooses one more
let shown = null; // the screen that was drawn last

onTurn(() => chooseSeveral(false));

/** The decals that move together on a panel; those of another panel, and what is gone, are let go of. */
export function group(panel, names) {
  if (of !== panel) together = new Set();
  of = panel;
  together = new Set([...together].filter((name) => names.includes(name)));
  return together;
}

export const choosing = () => several;
export function chooseSeveral(on) {
  several = on;
  if (!on) together = new Set();
}

/** Takes a decal into the group, or out of it; the one that is worked on belongs to it. */
function join(name, chosen) {
  if (!together.size && chosen && chosen !== name) together.add(chosen);
  if (together.has(name)) together.delete(name);
  else together.add(name);
  if (together.size < 2 && !several) together = new Set();
}

/**
 * Lets a piece be held. `side`: its hand, panel and what decals catch on; `look`: how the drawing is looked at; `again`:
 * shows the screen as it is.
 */
export function hold(piece, decal, side, screen, page, look, again) {
  shown = screen;
  // The one that is held comes first: places are its.
  const mates = () => [decal.name, ...(together.has(decal.name) ? [...together].filter((name) => name !== decal.name) : [])];
  const move = (dx, dy, caught = {}, key = "") => {
    Object.assign(page.view, { panel: screen.panel, decal: decal.name });
    const decals = mates();
    const body = { decals, hand: side.hand, dx: dx / MM, dy: dy / MM, x: spot(caught.x), y: spot(caught.y), across: caught.x?.[3] ?? "", up: caught.y?.[3] ?? "", key };
    // What was seen is only known when it is sent: quick steps wait for those before them, whose outcome is seen by then;
    // the screen may have been drawn anew between two of them.
    const seen = () => Object.fromEntries(decals.map((name) => [name, shown.places[name] ?? null]));
    return page.ask("/do/draw/move", () => ({ ...body, was: seen() }), (now) => decals.forEach((name) => { shown.places[name] = now.places?.[name]; }));
  };
  const choose = (event) => {
    if (event.shiftKey || several) {
      join(decal.name, screen.decal);
      again();
    } else page.go({ decal: decal.name, panel: screen.panel });
  };
  piece.addEventListener("keydown", (event) => keyed(event, decal, side, { move, choose, key: `move ${mates().join(" + ")}`, say: page.say, join: () => { join(decal.name, screen.decal); again(); }, drop: () => { chooseSeveral(false); again(); } }));
  piece.addEventListener("pointerdown", (event) => {
    if (event.button === 0 && !look().panning()) dragDecals(event, piece, decal, side, { mates: mates(), chosen: screen.decal, move, choose, look: look() });
  });
}

/** The arrow keys move it 0.1 mm, with Shift 0.01 mm, with Ctrl to the next place that it catches on. */
function keyed(event, decal, side, does) {
  const way = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] }[event.key];
  if (way) {
    event.preventDefault();
    event.stopPropagation();
    const axis = way[0] ? 0 : 1;
    if (event.ctrlKey || event.metaKey) {
      const next = following(side.snaps?.[decal.name]?.[axis] ?? [], decal.at[axis], way[axis]);
      if (!next) return does.say("Nothing more to catch on that way.");
      does.say(next[2]);
      const far = next[0] - decal.at[axis];
      return does.move(axis ? 0 : far, axis ? far : 0, axis ? { y: next } : { x: next });
    }
    const step = event.shiftKey ? 10 : 100;
    return does.move(way[0] * step, way[1] * step, {}, does.key);
  }
  if (event.key === "Enter") {
    event.preventDefault();
    does.choose(event);
  } else if (event.key.toLowerCase() === "g" && !event.ctrlKey && !event.metaKey && !event.altKey) {
    event.preventDefault();
    does.join();
  } else if (event.key === "Escape" && together.size) does.drop();
}

/** Where exactly a caught decal lies: the same however often it is asked for. */
const spot = (one) => (one ? one[0] / MM : undefined);

/** The next place a decal catches on, that way. */
export function following(places, at, way) {
  const beyond = places.filter((one) => (one[0] - at) * way > SAME && !together.has(one[4]));
  return beyond.sort((one, other) => (one[0] - other[0]) * way)[0];
}

/** The nearest place within reach; null where there is none. */
function nearest(places, at, reach, mates) {
  let best = null;
  for (const one of places) {
    const far = Math.abs(one[0] - at);
    if (far <= reach && !mates.includes(one[4]) && (!best || far < Math.abs(best[0] - at))) best = one;
  }
  return best;
}

/** What something at a place is caught on, each way; `mates`: what it never catches on. */
export function caught([across, up], x, y, mates, look) {
  const reach = NEAR * look.unit;
  return { x: nearest(across, x, reach, mates), y: nearest(up, y, reach, mates) };
}

/** The spot of the drawing under the pointer; `matrix`: from the screen to the drawing. */
export const under = (event, matrix) => new DOMPoint(event.clientX, event.clientY).matrixTransform(matrix);

/**
 * Has a piece follow the pointer until it is let go of. `at`: where it lies; `layer`: in whose measures; `places`: what it
 * catches on, but for `mates`; within `still` it stays; `put(dx, dy, on)` draws it, once a frame; `done(keep, dx, dy, on)`
 * gives whether it stays there, else it goes back.
 */
export function drag(event, piece, { at, layer, places, mates, still = 0, side, look, put, done }) {
  const svg = piece.ownerSVGElement;
  const matrix = layer.getScreenCTM().inverse();
  const from = under(event, matrix);
  let [dx, dy, on, asked] = [0, 0, {}, 0];
  const draw = () => {
    asked = 0;
    guide(svg, side, on, look);
    put(dx, dy, on);
  };
  const moved = (now) => {
    const to = under(now, matrix);
    [dx, dy, on] = [to.x - from.x, to.y - from.y, {}];
    if (Math.hypot(dx, dy) < still) [dx, dy] = [0, 0];
    else if (!now.altKey) {
      on = caught(places, at[0] + dx, at[1] + dy, mates, look);
      if (on.x) dx = on.x[0] - at[0];
      if (on.y) dy = on.y[0] - at[1];
    }
    asked ||= requestAnimationFrame(draw);
  };
  const ended = new AbortController();
  const end = async (keep) => {
    if (ended.signal.aborted) return;
    ended.abort();
    cancelAnimationFrame(asked);
    guide(svg, side, {}, look);
    if (await done(keep, dx, dy, on)) return;
    [dx, dy, on] = [0, 0, {}];
    draw();
  };
  const until = { signal: ended.signal };
  piece.setPointerCapture(event.pointerId);
  piece.addEventListener("pointermove", moved, until);
  piece.addEventListener("pointerup", () => end(true), until);
  piece.addEventListener("pointercancel", () => end(false), until);
  svg.addEventListener("letgo", () => end(false), until);
  addEventListener("keydown", (key) => { if (key.key === "Escape") end(false); }, until);
}

/** Drags a decal and those that move with it; a click chooses it. */
function dragDecals(event, piece, decal, side, does) {
  const svg = piece.ownerSVGElement;
  const moving = [...svg.querySelectorAll(".piece")].filter((one) => does.mates.includes(one.dataset.name));
  const starts = moving.map((one) => one.getAttribute("transform"));
  const put = (dx, dy) => {
    moving.forEach((one, n) => one.setAttribute("transform", `translate(${dx} ${dy}) ${starts[n]}`));
    if (does.mates.includes(does.chosen)) svg.querySelector(".ticks").setAttribute("transform", `translate(${dx} ${-dy})`);
  };
  const done = async (keep, dx, dy, on) => {
    svg.classList.remove("holding");
    const far = Math.hypot(dx, dy) > Math.max(20, 2 * does.look.unit);
    if (keep && far) return !(await does.move(dx, dy, on));
    put(0, 0);
    if (keep) does.choose(event);
    return true;
  };
  drag(event, piece, { at: decal.at, layer: piece.parentNode, places: side.snaps?.[decal.name] ?? [[], []], mates: does.mates, side, look: does.look, put, done });
  svg.classList.add("holding");
}

/** Thin lines where a decal is caught, and what it is caught on in words. */
export function guide(svg, side, on, look) {
  const layer = svg.querySelector(".guides");
  const said = svg.parentNode.querySelector(".caught");
  const [x0, y0, x1, y1] = side.panel.box;
  const past = 14 * look.unit;
  layer.replaceChildren();
  for (const [axis, one] of Object.entries(on)) {
    if (!one) continue;
    const d = axis === "x" ? `M${one[1]} ${-y0 + past}L${one[1]} ${-y1 - past}` : `M${x0 - past} ${-one[1]}L${x1 + past} ${-one[1]}`;
    layer.append(make("path", { class: "casing", d }), make("path", { class: "guide", d }));
  }
  said.textContent = [on.x, on.y].filter(Boolean).map((one) => one[2]).join(", ");
}
