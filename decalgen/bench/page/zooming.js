// Looking closer at a drawing: by keys and buttons, the wheel with Ctrl, two fingers. What is seen is moved with Space or
// the middle button held, on empty ground, or by the arrow keys. How each drawing is looked at is kept while the tab is.

import { singleKeys } from "./single.js";
import { onTurn } from "./turning.js";

const MOST = 60;
const STEP = 1.4;
const ROOM = { left: 34, right: 62, top: 28, bottom: 60 }; // pixels round the whole drawing, for figures
const looks = JSON.parse(sessionStorage.looks ?? "{}");
let now = null; // the drawing that the keys work on
let space = false;

onTurn(() => Object.keys(looks).forEach((key) => delete looks[key]));

const typed = (event) => event.target.matches?.("input, select, textarea");

/**
 * A drawing that can be looked at closer. `home`: all of it, in its own units; `key`: what it is of; `middle()`: what one
 * works on, or null; `redraw(unit, seen)`: called with the size of a pixel and the box that is seen.
 */
export function zoomable(svg, home, key, middle, redraw) {
  const it = { svg, home, unit: 1, panning: () => space };
  const look = () => looks[key] ?? { scale: 1, x: home.x + home.w / 2, y: home.y + home.h / 2 };
  const keep = (scale, x, y) => {
    if (scale <= 1.001) delete looks[key];
    else looks[key] = { scale: Math.min(scale, MOST), x: within(x, home.x, home.w), y: within(y, home.y, home.h) };
    sessionStorage.looks = JSON.stringify(looks);
    it.apply();
  };
  it.apply = () => {
    const { width, height } = svg.getBoundingClientRect();
    if (!width || !height) return;
    const { scale, x, y } = look();
    it.unit = Math.max(home.w / (width - ROOM.left - ROOM.right), home.h / (height - ROOM.top - ROOM.bottom)) / scale;
    const [w, h] = [width * it.unit, height * it.unit];
    const seen = { x: x - w / 2 + ((ROOM.right - ROOM.left) / 2) * it.unit, y: y - h / 2 + ((ROOM.bottom - ROOM.top) / 2) * it.unit, w, h };
    svg.setAttribute("viewBox", `${seen.x} ${seen.y} ${w} ${h}`);
    svg.classList.toggle("closer", scale > 1);
    svg.dataset.scale = scale.toFixed(2);
    redraw(it.unit, seen);
  };
  it.zoom = (factor, at = null) => {
    const { scale, x, y } = look();
    const next = Math.min(Math.max(scale * factor, 1), MOST);
    const centre = scale === 1 && !at ? middle() : null;
    const fixed = at ?? { x, y };
    if (centre) keep(next, centre.x, centre.y);
    else keep(next, fixed.x + ((x - fixed.x) * scale) / next, fixed.y + ((y - fixed.y) * scale) / next);
  };
  it.pan = (dx, dy) => {
    const { scale, x, y } = look();
    if (scale > 1) keep(scale, x + dx * it.unit, y + dy * it.unit);
  };
  it.whole = () => keep(1, 0, 0);
  svg.addEventListener("wheel", (event) => {
    if (!event.ctrlKey) return;
    event.preventDefault();
    it.zoom(Math.exp(-Math.max(-100, Math.min(100, event.deltaY)) * 0.004), spot(svg, event));
  }, { passive: false });
  fingers(svg, it);
  new ResizeObserver(() => it.apply()).observe(svg);
  now = it;
  return it;
}

const within = (value, start, size) => Math.min(Math.max(value, start), start + size);

/** Where an event is, in the drawing's units. */
function spot(svg, event) {
  return new DOMPoint(event.clientX, event.clientY).matrixTransform(svg.getScreenCTM().inverse());
}

/** One finger or the mouse moves what is seen, two look closer; a piece that is held is let go of then. */
function fingers(svg, it) {
  const down = new Map();
  svg.addEventListener("pointerdown", (event) => {
    down.set(event.pointerId, [event.clientX, event.clientY]);
    if (down.size === 2) svg.dispatchEvent(new Event("letgo"));
    else if (down.size === 1 && !space && event.button !== 1 && event.target.closest(".piece, .figure, .dot")) return;
    if (event.button === 1) event.preventDefault();
    svg.setPointerCapture(event.pointerId);
  }, true);
  // What is held to move the view takes the keyboard to no piece.
  svg.addEventListener("mousedown", (event) => { if (space || event.button === 1) event.preventDefault(); }, true);
  svg.addEventListener("pointermove", (event) => {
    const was = down.get(event.pointerId);
    if (!was || !svg.hasPointerCapture(event.pointerId)) return;
    const before = [...down.values()];
    down.set(event.pointerId, [event.clientX, event.clientY]);
    if (down.size === 1) return it.pan(was[0] - event.clientX, was[1] - event.clientY);
    const [one, other] = [...down.values()];
    const apart = (pair) => Math.hypot(pair[0][0] - pair[1][0], pair[0][1] - pair[1][1]) || 1;
    it.zoom(apart([one, other]) / apart(before), spot(svg, { clientX: (one[0] + other[0]) / 2, clientY: (one[1] + other[1]) / 2 }));
  });
  for (const name of ["pointerup", "pointercancel"]) svg.addEventListener(name, (event) => down.delete(event.pointerId));
}

addEventListener("keydown", (event) => {
  if (!now?.svg.isConnected || typed(event) || event.ctrlKey || event.metaKey || event.altKey) return;
  const done = { "+": () => now.zoom(STEP), "=": () => now.zoom(STEP), "-": () => now.zoom(1 / STEP), 0: () => now.whole() }[event.key];
  if (done && singleKeys()) {
    event.preventDefault();
    done();
  }
  if (event.key === " " && (event.target === document.body || event.target.closest?.(".drawing, main") === event.target || event.target.closest?.("svg"))) {
    event.preventDefault();
    space = true;
    now.svg.classList.add("panning");
  }
});
addEventListener("keyup", (event) => {
  if (event.key !== " ") return;
  space = false;
  now?.svg.classList.remove("panning");
});
