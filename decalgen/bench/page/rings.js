// The places of a finding, ringed in the drawing.

import { make } from "./dom.js";

const MM = 1000;

/** A ring round each place of a finding, and a word at the first. `unit`: the size of a pixel. */
export function rings(layer, one, decal, unit) {
  if (!one || !decal) return layer.replaceChildren();
  const made = one.areas.map(([x0, y0, x1, y1], n) => {
    const pad = 6 * unit;
    const [w, h] = [Math.max((x1 - x0) * MM + 2 * pad, 24 * unit), Math.max((y1 - y0) * MM + 2 * pad, 24 * unit)];
    const [x, y] = [decal.at[0] + ((x0 + x1) / 2) * MM - w / 2, -(decal.at[1] + ((y0 + y1) / 2) * MM) - h / 2];
    const box = { x, y, width: w, height: h, rx: 12 * unit };
    return [make("rect", { class: "spotted casing", ...box }), make("rect", { class: "spotted", ...box }),
      n ? null : make("text", { class: "ringword", x: x + w / 2, y: y - 5 * unit, "font-size": 14 * unit, "text-anchor": "middle" }, one.severity)];
  });
  layer.replaceChildren(...made.flat().filter(Boolean));
}
