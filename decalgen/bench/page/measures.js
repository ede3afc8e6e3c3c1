// What stands round a large drawing: the distances that place a decal, its own size, and a bar. Everything here is as large
// on the screen however close one looks.

import { make } from "./dom.js";
import { barLength } from "./panel.js";

const FIGURE = 14; // pixels
const LETTER = 12;

/** Draws them again. `unit`: the size of a pixel; `seen`: the box that is seen; `open(key)`: goes to a blank. */
export function figures(layer, side, decal, unit, seen, open) {
  layer.replaceChildren(...bar(side.panel, unit, seen), ...(decal ? sizes(side.panel, decal, unit, seen, open) : []), ...clearances(side, unit));
}

/** The distances that place the chosen decal, and its tightest clearance, each with its letter. */
function clearances(side, unit) {
  const found = [];
  const radius = 9 * unit;
  for (const one of side.fit?.clearances ?? []) {
    if (!one.line.length) continue;
    const [ax, ay, bx, by] = one.line;
    const d = `M${ax} ${-ay}L${bx} ${-by}`;
    const length = Math.hypot(bx - ax, by - ay) || 1;
    // The letter is on a long line, and beyond the end of a short one, off the decal.
    const along = length > 4 * radius ? length / 2 : length + 1.3 * radius;
    const [mx, my] = [ax + ((bx - ax) / length) * along, -(ay + ((by - ay) / length) * along)];
    found.push(make("g", { "aria-hidden": "true" },
      make("path", { class: "casing", d }), make("path", { class: one.good ? "measure" : "measure bad", d }),
      make("circle", { cx: mx, cy: my, r: radius, class: one.good ? "bubble" : "bubble bad" }),
      make("text", { x: mx, y: my + LETTER * 0.36 * unit, "font-size": LETTER * unit, "text-anchor": "middle" }, one.letter)));
  }
  return found;
}

/** Four ticks round the corners of the decal that is worked on, as round a print. */
export function ticks(layer, decal, unit) {
  if (!decal) return layer.replaceChildren();
  const [x0, y0] = [decal.at[0], -decal.at[1] - decal.size[1]];
  const [off, long] = [3 * unit, 12 * unit];
  const d = [[x0, y0, -1, -1], [x0 + decal.size[0], y0, 1, -1], [x0, y0 + decal.size[1], -1, 1], [x0 + decal.size[0], y0 + decal.size[1], 1, 1]]
    .map(([x, y, across, up]) => `M${x + across * off} ${y}h${across * long}M${x} ${y + up * off}v${up * long}`).join("");
  layer.replaceChildren(make("path", { class: "casing", d }), make("path", { class: "tick", d }));
}

/** The decal's width below the panel and its height beside it, as on a workshop drawing; each leads to its blank. */
function sizes(panel, decal, unit, seen, open) {
  const [x0, y0] = [decal.at[0], -decal.at[1] - decal.size[1]];
  const [x1, y1] = [x0 + decal.size[0], y0 + decal.size[1]];
  const room = 40 * unit;
  const under = Math.max(Math.min(-panel.box[1] + room, seen.y + seen.h - 8 * unit), y1 + 10 * unit);
  const beside = Math.max(Math.min(panel.box[2] + room, seen.x + seen.w - 8 * unit), x1 + 10 * unit);
  return [
    size("width", decal, [[x0, y1], [x1, y1]], [0, under - y1], unit, open),
    size("height", decal, [[x1, y1], [x1, y0]], [beside - x1, 0], unit, open),
  ];
}

/** One size: a line with open arrowheads between two thin ones, the figure above it (ISO 129-1). */
function size(key, decal, [from, to], [dx, dy], unit, open) {
  const along = Math.hypot(to[0] - from[0], to[1] - from[1]);
  const figure = (along / 1000).toFixed(2);
  const [a, b] = [from, to].map(([x, y]) => [x + dx, y + dy]);
  const [ux, uy] = [(b[0] - a[0]) / along, (b[1] - a[1]) / along];
  const past = 4 * unit;
  const [sx, sy] = [Math.sign(dx) * past, Math.sign(dy) * past];
  const short = along < 30 * unit;
  const head = ([x, y], way) => {
    const [back, wide] = [8 * unit * way * (short ? -1 : 1), 2.6 * unit];
    return `M${x + ux * back - uy * wide} ${y + uy * back + ux * wide}L${x} ${y}L${x + ux * back + uy * wide} ${y + uy * back - ux * wide}`;
  };
  const over = short ? 14 * unit : 0;
  const line = [[from, a], [to, b]].map(([one, other]) => `M${one[0] + sx} ${one[1] + sy}L${other[0] + sx} ${other[1] + sy}`).join("")
    + `M${a[0] - ux * over} ${a[1] - uy * over}L${b[0] + ux * over} ${b[1] + uy * over}${head(a, 1)}${head(b, -1)}`;
  const [mx, my] = [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
  const up = key === "height";
  const text = make("text", { x: mx, y: my - 5 * unit, "font-size": FIGURE * unit, "text-anchor": "middle", transform: up ? `rotate(-90 ${mx} ${my})` : undefined }, figure);
  const [wide, high] = [64 * unit, 44 * unit];
  const go = () => open(key);
  return make("g", {
    class: "figure", tabindex: "0", role: "button", "data-key": `size ${key}`, "aria-label": `${key} of ${decal.name}: ${figure} mm. Change it.`,
    onclick: go, onkeydown: (event) => { if (event.key === "Enter" || event.key === " ") { event.preventDefault(); event.stopPropagation(); go(); } },
  }, make("rect", { class: "grip", x: mx - (up ? high : wide) / 2, y: my - (up ? wide : high) / 2, width: up ? high : wide, height: up ? wide : high }),
  make("path", { class: "casing", d: line }), make("path", { class: "dim", d: line }),
  make("rect", { class: "plate", x: mx - 21 * unit, y: my - 19 * unit, width: 42 * unit, height: 17 * unit, transform: up ? `rotate(-90 ${mx} ${my})` : undefined }), text);
}

/** A bar in the drawing's own scale, at the lower left of what is seen. */
function bar(panel, unit, seen) {
  const whole = barLength(panel);
  const mm = [whole, whole / 5, whole / 10].find((one) => (one * 1000) / unit < 160) ?? whole / 50;
  const [x, y, tick] = [seen.x + 8 * unit, seen.y + seen.h - 6 * unit, 5 * unit];
  return [make("g", { class: "barline" },
    make("path", { class: "bar", d: `M${x} ${y - tick}v${tick}h${mm * 1000}v${-tick}` }),
    make("text", { class: "soft", x: x + mm * 1000 + 6 * unit, y, "font-size": LETTER * unit }, `${mm} mm`))];
}
