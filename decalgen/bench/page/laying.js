// A side of the model with a piece in place: the panel as one looks at it, where nose and top are, the distances with
// their letters. What is on already is pale.

import { make, path } from "./dom.js";
import { ticks } from "./measures.js";
import { barLength, drawing, frame } from "./panel.js";

const [ROOM, EDGE] = [46, 14]; // pixels round the panel: where a letter is, and where none is
const LETTER = 17; // pixels
const MOST = 40; // pixels to the millimetre
const MM = 1000;
const OUT = { left: [-1, 0], right: [1, 0], top: [0, -1], bottom: [0, 1] };

/** The drawing, as large as the window allows. */
export function side(one, width) {
  const { picture } = one;
  const high = Math.max(190, Math.min(innerHeight - (innerWidth > 900 ? 570 : 700), 520));
  const all = [...picture.others, picture.piece];
  const box = frame(picture.panel, 0, all.map(round));
  const room = (name) => (picture.lines.some((row) => row.side === name) ? ROOM : EDGE);
  const [left, top, foot] = [room("left"), room("top"), room("bottom")];
  const more = left + room("right");
  const unit = Math.max(box.w / (width - more), box.h / (high - top - foot), MM / MOST);
  const w = width * unit;
  // In the middle of what is left beside the letters.
  const x = box.x - left * unit - (w - box.w - more * unit) / 2;
  const h = box.h + (top + foot) * unit;
  const svg = drawing(picture.panel, all, picture.paint, `${one.side}: ${one.name} in place`, (decal, parts) => make("g", { class: decal === picture.piece ? "" : "pale" }, parts));
  svg.setAttribute("role", "img");
  svg.setAttribute("viewBox", `${x} ${box.y - top * unit} ${w} ${h}`);
  svg.setAttribute("width", width);
  svg.setAttribute("height", h / unit);
  if (picture.open) svg.classList.add("assumed");
  const marks = make("g", { class: "marks", "aria-hidden": "true" });
  // What film lies over is seen through it, as in the guide.
  svg.append(make("g", { class: "through", transform: "scale(1,-1)" }, picture.panel.obstacles.map((item) => path(item.d, { class: "obstacle" }))));
  ticks(marks, round(picture.piece), unit);
  svg.append(marks, ...picture.lines.map((row) => distance(row, unit)));
  return make("figure", { class: "side-of-model" }, make("div", { class: "ends" }, picture.ends.map(end)), svg,
    make("figcaption", { class: "quiet" }, make("span", {}, caption(picture)), scale(picture.panel, unit)));
}

/** A piece by the box round its film, which may be a part of its decal. */
const round = ({ box }) => ({ at: box.slice(0, 2), size: [box[2] - box[0], box[3] - box[1]] });

function caption(picture) {
  const grey = picture.obstacles.length ? `Grey: ${picture.obstacles.join(", ")}. ` : "";
  return `${grey}${picture.others.length ? "Pale: what is on, or goes on, before it. " : ""}${picture.open ? "Sizes are assumed until they are measured." : ""}`;
}

const end = ({ words, way }) => make("span", { class: way }, words);

/** A distance from the panel's edge to the piece's, its letter outside of both. */
function distance(row, unit) {
  const [ax, ay, bx, by] = row.ends;
  const [ox, oy] = OUT[row.side];
  const [x, y] = (ax - bx) * ox + (by - ay) * oy >= 0 ? [ax, -ay] : [bx, -by];
  const [mx, my] = [x + ox * 28 * unit, y + oy * 28 * unit];
  const cross = 7 * unit;
  const bar = (px, py) => `M${px - oy * cross} ${py - ox * cross}L${px + oy * cross} ${py + ox * cross}`;
  const d = `M${ax} ${-ay}L${bx} ${-by}${bar(ax, -ay)}${bar(bx, -by)}`;
  return make("g", { class: "distance", "aria-hidden": "true" },
    make("path", { class: "lead", d: `M${x} ${y}L${mx} ${my}` }), make("path", { class: "casing", d }), make("path", { class: "measure", d }),
    make("circle", { class: "bubble", cx: mx, cy: my, r: 13 * unit }),
    make("text", { x: mx, y: my + LETTER * 0.34 * unit, "font-size": LETTER * unit, "text-anchor": "middle" }, row.letter));
}

/** How long some millimetres are on the drawing. */
function scale(panel, unit) {
  const long = barLength(panel);
  const wide = (long * MM) / unit;
  return make("span", { class: "scale" }, `${long} mm`,
    make("svg", { width: wide + 2, height: 10, viewBox: `-1 0 ${wide + 2} 10`, "aria-hidden": "true" }, make("path", { d: `M0 1v8M0 5h${wide}M${wide} 1v8` })));
}
