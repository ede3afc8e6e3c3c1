// A scan under glass: the part of it that is looked at, what is drawn over it, and points on it that are dragged, or moved by
// the arrow keys, each looked at closely meanwhile. Everything is in pixels of the scan, y down.

import { make, path } from "./dom.js";

const TALLEST = 24; // of the glass, rem
const CLOSE = 64; // pixels of the scan that the lens shows each way
const STEP = 1;
const FINE = 0.1; // of a step, with Shift
const LEAST = 12; // a frame is no smaller
const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
const images = new Map(); // by address: one that was read once is not read again where the screen is drawn anew

/** The address of a part of a picture. */
const address = (page, picture, [left, top, right, bottom]) => `/original/${picture.key}.jpg?${new URLSearchParams({ job: page.view.job, left, top, right, bottom })}`;

function image(src, alt) {
  const there = images.get(src);
  if (there) return there;
  const made = make("img", { src, alt, draggable: "false" });
  if (images.size > 20) images.clear();
  images.set(src, made);
  return made;
}

/** The part of a picture that is shown: what was read with a rim, or all of it. */
export function boxOf(picture, part) {
  if (!part) return [0, 0, picture.width, picture.height];
  const rim = Math.round(0.08 * Math.max(part[2] - part[0], part[3] - part[1], 80));
  return [Math.max(0, part[0] - rim), Math.max(0, part[1] - rim), Math.min(picture.width, part[2] + rim), Math.min(picture.height, part[3] + rim)];
}

const line = (points) => `M${points.map(([x, y]) => `${x.toFixed(2)} ${y.toFixed(2)}`).join(" L")} Z`;

/**
 * The glass. `box`: what of the picture is shown; `drawn`: paths over it, each a class and its data; `points`: those that can
 * be moved, each with its `name`; `labels`: places with their numbers; `moved(number, x, y)`: called as one is; `frame(part)`: called with a frame that was
 * dragged, where one may be; `spot(x, y)`: with a place that was pressed, where one may be.
 */
export function glass(page, picture, { box, words, drawn, points = [], labels = [], moved, rim, frame, spot }) {
  const [left, top, right, bottom] = box;
  const [wide, high] = [right - left, bottom - top];
  const over = make("svg", { viewBox: `${left} ${top} ${wide} ${high}`, preserveAspectRatio: "none", "aria-hidden": "true" });
  const lens = make("div", { class: "lens", hidden: true, "aria-hidden": "true" });
  const whole = make("div", { class: `glass${frame || spot ? " picking" : ""}` }, image(address(page, picture, box), words), over, lens);
  whole.style.aspectRatio = `${wide} / ${high}`;
  whole.style.maxWidth = `calc(${TALLEST}rem * ${wide / high})`;
  const outline = make("path", { class: "rim" });
  const see = () => {
    if (rim) outline.setAttribute("d", points.length ? line(rim(points.map((one) => [one.x, one.y]))) : "");
  };
  over.append(...drawn.map((one) => make("g", { class: one.kind }, path(one.d, { class: "halo" }), path(one.d, { class: "stroke" }))), make("g", { class: "mine" }, outline));
  const at = (event) => {
    const seen = whole.getBoundingClientRect();
    const within = (value, low, most) => Math.min(Math.max(value, low), most);
    return [within(left + ((event.clientX - seen.left) / seen.width) * wide, 0, picture.width), within(top + ((event.clientY - seen.top) / seen.height) * high, 0, picture.height)];
  };
  const closer = lensOf(page, picture, lens, whole, (x) => (x - left) / wide > 0.5);
  points.forEach((one, number) => {
    const handle = make("button", { type: "button", class: "handle", "data-key": `point ${number}`, "aria-label": one.name, title: `${one.name}: drag it, or move it by the arrow keys; with Shift ten times finer.` });
    const put = (x, y) => {
      Object.assign(one, { x: Math.min(Math.max(x, 0), picture.width), y: Math.min(Math.max(y, 0), picture.height) });
      handle.style.left = `${((one.x - left) / wide) * 100}%`;
      handle.style.top = `${((one.y - top) / high) * 100}%`;
      see();
    };
    put(one.x, one.y);
    handle.addEventListener("pointerdown", (event) => {
      event.stopPropagation();
      handle.setPointerCapture(event.pointerId);
      const [x, y] = at(event);
      handle.held = [one.x - x, one.y - y];
      closer(one);
    });
    handle.addEventListener("pointermove", (event) => {
      if (!handle.hasPointerCapture(event.pointerId)) return;
      const [x, y] = at(event);
      put(x + handle.held[0], y + handle.held[1]);
      closer(one);
    });
    handle.addEventListener("pointerup", () => moved(number, one.x, one.y));
    handle.addEventListener("focus", () => closer(one));
    handle.addEventListener("blur", () => closer(null));
    handle.addEventListener("keydown", (event) => {
      const way = ARROWS[event.key];
      if (!way) return;
      event.preventDefault();
      const step = event.shiftKey ? STEP * FINE : event.ctrlKey ? STEP * 10 : STEP;
      put(one.x + way[0] * step, one.y + way[1] * step);
      moved(number, one.x, one.y);
      closer(one);
    });
    whole.append(handle);
  });
  labels.forEach(([x, y], n) => {
    const label = make("b", { class: "label", "aria-hidden": "true" }, `${n + 1}`);
    label.style.left = `${((x - left) / wide) * 100}%`;
    label.style.top = `${((y - top) / high) * 100}%`;
    whole.append(label);
  });
  see();
  if (frame || spot) picking(whole, over, at, frame, spot);
  return make("div", { class: "scan" }, whole);
}

/** A frame that is dragged over the picture, or a place that is pressed. */
function picking(whole, over, at, frame, spot) {
  let start = null;
  const drawn = make("path", { class: "rim" });
  over.append(make("g", { class: "mine" }, drawn));
  whole.addEventListener("pointerdown", (event) => {
    if (event.button || event.target.closest(".handle")) return;
    event.preventDefault();
    start = at(event);
    whole.setPointerCapture(event.pointerId);
  });
  whole.addEventListener("pointermove", (event) => {
    if (!start || !frame) return;
    const [x, y] = at(event);
    drawn.setAttribute("d", line([start, [x, start[1]], [x, y], [start[0], y]]));
  });
  whole.addEventListener("pointerup", (event) => {
    if (!start) return;
    const [x, y] = at(event);
    const [sides, tall] = [[start[0], x].sort((a, b) => a - b), [start[1], y].sort((a, b) => a - b)];
    start = null;
    drawn.setAttribute("d", "");
    if (spot) spot(x, y);
    else if (sides[1] - sides[0] >= LEAST && tall[1] - tall[0] >= LEAST) frame([sides[0], tall[0], sides[1], tall[1]].map(Math.round));
  });
  whole.addEventListener("pointercancel", () => { start = null; drawn.setAttribute("d", ""); });
}

/** The lens: what is round a point, large, with a cross on it. Gives what shows a point in it; null hides it. */
function lensOf(page, picture, lens, whole, onRight) {
  let [now, asked, shown] = [null, null, null];
  const seen = make("img", { alt: "" });
  const cross = make("i", {});
  lens.append(seen, cross);
  const put = () => {
    if (!now || !shown) return;
    cross.style.left = `${((now.x - shown[0]) / CLOSE) * 100}%`;
    cross.style.top = `${((now.y - shown[1]) / CLOSE) * 100}%`;
  };
  const read = () => {
    const [x, y] = [Math.round(now.x - CLOSE / 2), Math.round(now.y - CLOSE / 2)];
    if (asked || (shown && shown[0] === x && shown[1] === y)) return put();
    asked = [x, y];
    seen.src = address(page, picture, [x, y, x + CLOSE, y + CLOSE]);
  };
  seen.addEventListener("load", () => {
    [shown, asked] = [asked, null];
    put();
    if (now) read();
  });
  seen.addEventListener("error", () => { asked = null; });
  return (point) => {
    now = point;
    lens.hidden = !point;
    if (!point) return;
    lens.classList.toggle("left", onRight(point.x));
    read();
  };
}
