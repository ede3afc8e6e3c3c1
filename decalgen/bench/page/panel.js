// A panel with its decals, drawn from whole micrometres, y up.

import { make, path } from "./dom.js";

/** The box round a panel, and round what of `decals` lies beyond it, with room for figures, in µm; y is turned over. */
export function frame(panel, room = 0.06, decals = []) {
  const pad = room * Math.max(panel.box[2] - panel.box[0], panel.box[3] - panel.box[1]);
  const seen = decals.filter((one) => !one.wrong);
  const [x0, y0] = [0, 1].map((n) => Math.min(panel.box[n], ...seen.map((one) => one.at[n])));
  const [x1, y1] = [0, 1].map((n) => Math.max(panel.box[n + 2], ...seen.map((one) => one.at[n] + one.size[n])));
  return { x: x0 - pad, y: -y1 - pad, w: x1 - x0 + 2 * pad, h: y1 - y0 + 2 * pad };
}

/** What a decal is made of, from the film up. */
export function piece(decal) {
  const parts = [path(decal.cut, { class: decal.film === "white" ? "film" : "clear", "fill-rule": "evenodd" })];
  if (decal.backing) parts.push(path(decal.backing, { class: "film", "fill-rule": "evenodd" }));
  for (const ink of decal.inks) parts.push(ink.picture ? pixels(ink) : path(ink.d, { fill: ink.colour, "fill-rule": "evenodd" }));
  parts.push(path(decal.slits, { class: "slit" }), path(decal.cut, { class: "cut" }));
  return parts;
}

let clips = 0;

/** A picture, seen inside its outline. */
export function pixels(ink) {
  const { src, matrix } = ink.picture;
  const id = `clip-${(clips += 1)}`;
  return make("g", { class: "pixels" },
    make("clipPath", { id }, path(ink.d, { "clip-rule": "evenodd" })),
    make("g", { "clip-path": `url(#${id})` }, make("image", { href: src, width: 1, height: 1, preserveAspectRatio: "none", transform: `matrix(${matrix.join(" ")})` })));
}

/** The length of the scale bar of a panel's drawing, mm. */
export const barLength = (panel) => (panel.box[2] - panel.box[0] > 40000 ? 10 : 5);

/** A drawing of a panel. `make_piece(decal, parts)` gives the element of each decal. */
export function drawing(panel, decals, paint, words, makePiece = null, room = 0.06) {
  const at = frame(panel, room, decals);
  const turned = make("g", { transform: "scale(1,-1)" });
  turned.append(path(panel.outline, { class: "outline", fill: paint, "fill-rule": "evenodd" }));
  for (const one of panel.obstacles) turned.append(path(one.d, { class: "obstacle" }));
  for (const decal of decals) {
    if (decal.wrong) continue;
    const parts = piece(decal);
    const group = makePiece ? makePiece(decal, parts) : make("g", {}, parts);
    group.setAttribute("transform", `translate(${decal.at[0]} ${decal.at[1]})`);
    turned.append(group);
  }
  return make("svg", { viewBox: `${at.x} ${at.y} ${at.w} ${at.h}`, role: makePiece ? "group" : "img", "aria-label": words }, turned);
}
