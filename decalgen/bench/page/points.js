// Curves drawn through measured points, and bands along the panel's edge: points are held and sides clicked on the drawing,
// or by keyboard; their numbers are typed beside it.

import { make, path } from "./dom.js";
import { caught, drag, following, guide, under } from "./holding.js";
import { singleKeys } from "./single.js";
import { telling } from "./told.js";
import { onTurn } from "./turning.js";

const MM = 1000;
const WIDE = 22; // pixels round a point that hold it
const LEAST = 12; // the same where points are close together
const STILL = 3; // pixels that a hand moves while it clicks
const SIDE = 16; // pixels across a side of the panel that can be clicked
const KEYS = [["← →", "move a point"], ["Enter", "type its numbers"], ["Insert A", "add one after it"], ["Delete", "delete it"]];
const POINTS = "points"; // where it is told what was wrong
let wanted = ""; // the shape whose points are on the drawing
let adding = false; // whether a click on the drawing adds a point
let clicking = ""; // the band through points whose sides are clicked
let stop = null; // ends adding by Escape
let shown = null; // the screen that was drawn last

onTurn(() => { [wanted, adding, clicking] = ["", false, ""]; });

const key = (row) => row.at.join(" ");
const focus = (name) => document.querySelector(`[data-key="${CSS.escape(name)}"]`)?.focus();
const found = (screen, of) => screen.traced?.find((one) => key(one) === of);
const traced = (screen) => found(screen, wanted) ?? screen.traced?.[0];
const edged = (screen) => (screen.edged ?? []).filter((one) => !one.points || key(one) === clicking);

/** Sends what is done with the points of a shape; `more(row)` is asked when it is sent. Gives whether it was done. */
async function act(page, what, row, more, after = "") {
  const tell = telling(POINTS)[1];
  // What was seen is only known when it is sent: quick steps wait for those before them; the screen may have been drawn
  // anew between two of them.
  const seen = () => found(shown, key(row)) ?? row;
  const body = () => ({ at: row.at, hand: row.hand ?? "", was: seen().raw, ...more(seen()) });
  const failed = await page.ask(`/do/draw/${what}`, body, (now) => { seen().raw = found(now, key(row))?.raw ?? seen().raw; });
  tell(failed);
  if (!failed && after) focus(after);
  return !failed;
}

const remove = (page, row, n) => act(page, "delete_point", row, () => ({ number: n }), `dot ${Math.max(0, n - 1)}`);
const insert = (page, row, n) => act(page, "add_point", row, () => ({ after: n }), `dot ${n + 1}`);

// ------------------------------------------------------------------------------------------------- on the drawing
/** Puts points and sides on the drawing. Gives what draws them again for the size of a pixel. */
export function onDrawing(svg, side, screen, page, look, again) {
  shown = screen;
  const row = traced(screen);
  const layer = make("g", { class: "measures" });
  svg.append(layer);
  const lines = edged(screen).flatMap((band) => band.sides.map((one) => sideLine(band, one, svg, screen, page)));
  layer.append(...lines.map((one) => one.made));
  addEventListener("keydown", ends(again));
  if (!row?.spots) {
    adding = false;
    return (unit) => lines.forEach((one) => one.draw(unit));
  }
  const through = path(row.line, { class: "guide", transform: "scale(1,-1)" });
  const redraw = (n, dx, dy) => through.setAttribute("d", n < 0 ? row.line : straight(row, n, dx, dy));
  const ground = adding && plane(svg, side, row, page, look);
  const dots = row.spots.map((spot, n) => dot(svg, side, row, n, page, look, redraw));
  layer.append(make("g", { "pointer-events": "none", "aria-hidden": "true" }, path(row.line, { class: "casing", fill: "none", transform: "scale(1,-1)" }), through));
  if (ground) layer.append(ground);
  layer.append(...dots.map((one) => one.made));
  return (unit) => {
    lines.forEach((one) => one.draw(unit));
    dots.forEach((one) => one.draw(unit));
  };
}

/** The points in their order with one of them elsewhere, joined straight: the curve is drawn once it is let go of. */
function straight(row, n, dx, dy) {
  const spots = row.spots.map(([x, y], other) => (other === n ? [Math.round(x + dx), Math.round(y + dy)] : [x, y]));
  return `M${spots.map((one) => one.join(" ")).join("L")}${row.closed ? "Z" : ""}`;
}

/** Escape ends adding. */
function ends(again) {
  if (stop) removeEventListener("keydown", stop);
  stop = (event) => {
    if (event.key !== "Escape" || !adding) return;
    adding = false;
    again();
  };
  return stop;
}

/** How far a point may be held from, in pixels: nearer where another is close. */
function reach(row, n, unit) {
  const [x, y] = row.spots[n];
  const far = row.spots.filter((_, other) => other !== n).map(([a, b]) => Math.hypot(a - x, b - y) / unit / 2);
  return Math.max(LEAST, Math.min(WIDE, ...far)) * unit;
}

/** A point that can be held. */
function dot(svg, side, row, n, page, look, redraw) {
  const [x, y] = row.spots[n];
  const [grip, ring] = [make("circle", { class: "grip" }), make("circle", { class: "bubble" })];
  const number = make("text", { "text-anchor": "middle" }, String(n + 1));
  const [across, up] = row.own[n].map((one) => one.toFixed(2));
  const made = make("g", {
    class: "dot", tabindex: "0", role: "button", "data-key": `dot ${n}`, transform: `translate(${x} ${-y})`,
    "aria-label": `Point ${n + 1} of ${row.words}: x ${across} mm, y ${up} mm. Arrow keys move it, Enter types its numbers, Insert or A adds one after it, Delete deletes it.`,
  }, grip, ring, number);
  const move = (dx, dy, merged = "") => act(page, "move_point", row, (now) => ({ number: n, was: now.raw[n], dx: dx / MM, dy: dy / MM, key: merged }));
  made.addEventListener("keydown", (event) => keyed(event, row, n, page, move));
  made.addEventListener("pointerdown", (event) => {
    if (event.button !== 0 || look().panning()) return;
    event.stopPropagation();
    dragPoint(event, made, svg, side, row, n, { move, redraw, look: look() });
  });
  const draw = (unit) => {
    grip.setAttribute("r", reach(row, n, unit));
    ring.setAttribute("r", 9 * unit);
    number.setAttribute("font-size", 12 * unit);
    number.setAttribute("y", 4.3 * unit);
  };
  return { made, draw };
}

/** The arrow keys move a point 0.1 mm, with Shift 0.01 mm, with Ctrl to the next place that it catches on. */
function keyed(event, row, n, page, move) {
  const way = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] }[event.key];
  if (way) {
    const axis = way[0] ? 0 : 1;
    const merged = `point ${key(row)} ${n}`;
    if (event.ctrlKey || event.metaKey) {
      const next = following(row.snaps[axis], row.spots[n][axis], way[axis]);
      page.say(next ? next[2] : "Nothing more to catch on that way.");
      const far = next ? next[0] - row.spots[n][axis] : 0;
      if (next) move(axis ? 0 : far, axis ? far : 0);
    } else move(way[0] * (event.shiftKey ? 10 : 100), way[1] * (event.shiftKey ? 10 : 100), merged);
  } else if (event.key === "Delete") remove(page, row, n);
  else if (event.key === "Insert" || (event.key.toLowerCase() === "a" && singleKeys() && !event.ctrlKey && !event.metaKey && !event.altKey)) insert(page, row, n);
  else if (event.key === "Enter") document.querySelector(`[data-key="${CSS.escape(`blank ${key(row)} ${n} 0`)}"]`)?.click();
  else return;
  event.preventDefault();
  event.stopPropagation();
}

/** Where a point would be, in the numbers of the file, and what it is caught on. */
function told(svg, row, n, dx, dy, on) {
  const [x, y] = row.own[n];
  const words = [on.x, on.y].filter(Boolean).map((one) => one[2]);
  svg.parentNode.querySelector(".caught").textContent = [`x ${(x + (row.way * dx) / MM).toFixed(2)}, y ${(y + dy / MM).toFixed(2)} mm`, ...words].join(", ");
}

function dragPoint(event, made, svg, side, row, n, { move, redraw, look }) {
  const [x, y] = row.spots[n];
  const put = (dx, dy, on) => {
    made.setAttribute("transform", `translate(${x + dx} ${-y - dy})`);
    redraw(dx || dy ? n : -1, dx, dy);
    if (dx || dy) told(svg, row, n, dx, dy, on);
  };
  const done = (keep, dx, dy) => {
    made.focus({ preventScroll: true });
    return keep && (dx || dy) && move(dx, dy);
  };
  drag(event, made, { at: [x, y], layer: svg.firstElementChild, places: row.snaps, mates: [`point ${n + 1}`], still: STILL * look.unit, side, look, put, done });
}

/** What is clicked to add a point, over all that is on the drawing but the points. */
function plane(svg, side, row, page, look) {
  const [x0, y0, x1, y1] = side.panel.box;
  const room = Math.max(x1 - x0, y1 - y0);
  const spot = (event) => {
    const at = under(event, svg.firstElementChild.getScreenCTM().inverse());
    const on = event.altKey ? {} : caught(row.snaps, at.x, at.y, [""], look());
    return { x: on.x ? on.x[0] : at.x, y: on.y ? on.y[0] : at.y, on };
  };
  return make("rect", {
    class: "dot grip", x: x0 - room, y: -y1 - room, width: x1 - x0 + 2 * room, height: y1 - y0 + 2 * room, "data-key": "plane",
    onpointermove: (event) => guide(svg, side, spot(event).on, look()),
    onpointerleave: () => guide(svg, side, {}, look()),
    onclick: (event) => { const { x, y } = spot(event); act(page, "add_point", row, () => ({ x: x / MM, y: y / MM })); },
  });
}

/** A side of the panel that a band follows, or can follow. */
function sideLine(band, one, svg, screen, page) {
  const wide = path(one.d, { stroke: "transparent", fill: "none" });
  const say = (words) => () => { const place = svg.parentNode?.querySelector(".caught"); if (place) place.textContent = words; };
  const made = make("g", {
    class: "dot side", tabindex: "0", role: "button", transform: "scale(1,-1)", "data-key": `side ${key(band)} ${one.name}`,
    "aria-pressed": String(one.on), "aria-label": `${one.name} side of the ${screen.panel}: ${band.words} ${one.on ? "follows it" : "does not follow it"}`,
    onclick: () => follow(band, one, page), onfocus: say(`${one.name} side`), onblur: say(""), onpointerenter: say(`${one.name} side`), onpointerleave: say(""),
    onkeydown: (event) => { if (event.key === "Enter" || event.key === " ") { event.preventDefault(); event.stopPropagation(); follow(band, one, page); } },
  }, wide, path(one.d, { class: "casing", fill: "none" }), path(one.d, { class: one.on ? "measure" : "guide", fill: "none" }));
  return { made, draw: (unit) => wide.setAttribute("stroke-width", SIDE * unit) };
}

async function follow(band, one, page) {
  const failed = await page.ask("/do/draw/follow_side", { at: band.at, side: one.name, seen: band.seen });
  telling(POINTS)[1](failed);
  if (!failed) clicking = "";
}

// ------------------------------------------------------------------------------------------------- beside it
/** The button that lets a click on the drawing add a point. */
export function adder(screen, again) {
  return traced(screen)?.spots && make("button", { "data-key": "add point", "aria-pressed": String(adding), onclick: () => { adding = !adding; again(); } }, adding ? "Click each point; Esc ends" : "Add a point");
}

/** The points as numbers, and the sides as buttons. `put(blank)`: a blank of the sentence. */
export function lists(screen, page, put, again) {
  const row = traced(screen);
  if (!row && !screen.edged?.length) return null;
  return make("section", { "aria-label": "Points and sides" },
    row && points(row, screen, page, put, again), (screen.edged ?? []).map((band) => sides(band, screen, page, again)), telling(POINTS)[0]);
}

function points(row, screen, page, put, again) {
  const pick = (one) => make("button", { "aria-pressed": String(one === row), "data-key": `points ${key(one)}`, onclick: () => { wanted = key(one); adding = false; again(); } }, one.words);
  const small = (word, n, does) => make("button", { "data-key": `${word} point ${n}`, "aria-label": `Point ${n + 1}: ${word}`, onclick: does }, word);
  return [
    make("h2", {}, `Points of ${row.words}`),
    screen.traced.length > 1 && make("div", { class: "tools", role: "group", "aria-label": "Whose points are on the drawing" }, screen.traced.map(pick)),
    make("p", { class: "keys quiet" }, row.spots ? KEYS.map(([keys, words]) => make("span", { class: "hint" }, keys.split(" ").map((one) => make("kbd", {}, one)), words)) : "This decal is drawn as it is seen, so its points are not on the drawing of its film."),
    row.by_size && make("p", { class: "quiet" }, "It lies by its outer size: where one point changes that, the others move along. ",
      make("button", { "data-key": "lay by points", onclick: () => act(page, "lay_by_points", row, () => ({})) }, "Keep the other points still")),
    make("ol", { class: "order" }, row.blanks.map(([x, y], n) => make("li", {}, make("span", {}, "x ", put(x), ", y ", put(y)),
      make("span", { class: "small-acts", role: "group", "aria-label": `Point ${n + 1}` }, small("add after", n, () => insert(page, row, n)), small("delete", n, () => remove(page, row, n)))))),
  ];
}

function sides(band, screen, page, again) {
  const open = !band.points || clicking === key(band);
  const turn = () => { clicking = open ? "" : key(band); again(); };
  return [
    open && make("h2", {}, `Sides that ${band.words} follows`),
    band.points && make("p", {}, make("button", { "data-key": `edge ${key(band)}`, "aria-expanded": String(open), onclick: turn }, `Let ${band.words} follow the panel's edge instead of points`)),
    open && make("div", { class: "tools", role: "group", "aria-label": `Sides of the ${screen.panel}` }, band.sides.map((one) => make("button", { "aria-pressed": String(one.on), "data-key": `follow ${key(band)} ${one.name}`, onclick: () => follow(band, one, page) }, one.name))),
  ];
}
