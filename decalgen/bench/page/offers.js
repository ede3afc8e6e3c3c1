// What can be added on Draw, as pictures: ready layouts, shapes, and the drawings and pictures beside the job.

import { focus, run } from "./adding.js";
import { capital, make, path } from "./dom.js";
import { once, single } from "./once.js";
import { drawing, pixels } from "./panel.js";

export function chooser(screen, page) {
  if (!screen.offers) return null;
  const wanted = screen.offers;
  const shut = () => page.go({ offers: "" }).then(() => focus(`add ${wanted}`));
  const add = (act, body) => once(page, "offer", async () => { if (await run(page, act, body)) focus(`piece ${page.view.decal}`); });
  const own = wanted === "shape" && screen.own;
  const pick = (what) => (own ? add("add_shape", { decal: screen.decal, ...what }) : add("add_decal", { panel: screen.panel, ...what }));
  const shapes = make("ul", { class: "offers" }, screen.shape_offers.map((one) => offer(one, shapePicture(one), () => pick({ shape: one.name }))));
  const files = (offers) => offers.length > 0 && make("ul", { class: "offers" }, offers.map((one) => offer(one, shapePicture(one), () => pick({ file: one.name }), one.name)));
  const where = (offers, kind, save) => make("p", { class: "quiet" }, offers.length ? `The ${kind}.` : `None yet: save ${save} in the folder of this job, and it is offered here. `, !offers.length && make("code", {}, screen.folder));
  const layouts = wanted === "decal" && make("ul", { class: "offers" }, screen.layouts.map((one) =>
    offer(one, drawing(one.panel, one.decal ? [one.decal] : [], screen.paint, "", null, 0.03), () => add("add_decal", { panel: screen.panel, layout: one.name }))));
  const title = wanted === "decal" ? `A decal for the ${screen.panel}` : own ? `A shape for the ${screen.decal}` : `A shape for the ${screen.panel}`;
  return frame(title, shut,
    wanted === "decal" && [make("h3", {}, "A ready layout, as it comes out on this panel"), layouts, make("h3", {}, "Or one shape to begin with")],
    wanted === "shape" && !own && make("p", {}, "The shapes of this decal are its layout's. A shape of your own comes in as a decal beside it."),
    shapes, make("h3", {}, "Or a drawing of your own"), where(screen.drawing_offers, "drawings in the folder of this job, SVG or DXF", "a drawing as plain SVG or DXF"), files(screen.drawing_offers),
    make("h3", {}, "Or a picture of your own"), where(screen.picture_offers, "pictures in the folder of this job: scans and photographs, printed as pixels", "a scan or a photograph as PNG, JPEG or TIFF"), files(screen.picture_offers));
}

function frame(title, shut, ...inside) {
  return make("section", { class: "choose", "aria-label": title, onkeydown: (event) => { if (event.key === "Escape") { event.preventDefault(); shut(); } } },
    make("div", { class: "acts" }, make("h2", { tabindex: "-1", "data-key": "offers" }, title), make("button", { onclick: shut }, "Close")), inside);
}

function offer(one, picture, pick, called = capital(one.name.replaceAll("-", " "))) {
  picture.setAttribute("aria-hidden", "true");
  return make("li", { class: one.wrong ? "no" : "" }, make("button", { "data-key": `offer ${one.name}`, onclick: single(pick) }, picture, called, make("span", {}, capital(one.wrong ?? one.about))));
}

function shapePicture(one) {
  const [x0, y0, x1, y1] = one.box ?? [0, 0, 1, 1];
  const pad = 0.04 * Math.max(x1 - x0, y1 - y0);
  return make("svg", { viewBox: `${x0 - pad} ${-y1 - pad} ${x1 - x0 + 2 * pad} ${y1 - y0 + 2 * pad}`, role: "img" },
    make("g", { transform: "scale(1,-1)" }, (one.inks ?? []).map((ink) => ink.picture ? pixels(ink) : path(ink.d, { fill: ink.colour, "fill-rule": "evenodd" }))));
}
