// The sheets of film as they lie, with their pieces. A piece is dragged, to another sheet too, or moved by the arrow keys;
// where it cannot lie it says so, and goes back.

import { make, path } from "./dom.js";
import { piece as parts } from "./panel.js";
import { onTurn } from "./turning.js";

const MM = 1000;
const FIGURE_PX = 13; // no figure on screen is smaller
let lifted = null; // a piece the arrow keys hold over where it cannot lie: { id, dx, dy }
let landing = null; // the same, on its way to the server
let laying = false;
const known = new Map(); // what was asked of each piece that is drawn now

onTurn(() => { [lifted, landing] = [null, null]; });

export const idOf = (one) => `${one.key}|${one.copy}`;

/** Pixels to the millimetre at which the sheets go beside each other. */
export function scaleOf(sheets, room, height) {
  const widths = sheets.map((one) => one.size[0] / MM);
  const high = Math.max(...sheets.map((one) => one.size[1] / MM));
  const beside = sheets.length <= 3 && room > 620 ? widths.reduce((a, b) => a + b, 0) + 10 * (sheets.length - 1) : Math.max(...widths);
  return Math.max(0.6, Math.min(room / (beside + 2), Math.max(height / high, 1.1), 5));
}

/** All sheets. `desk`: the drawings by piece, what is chosen, and what is done on it. */
export function sheets(found, scale, desk) {
  return make("div", { class: "films" }, found.map((one) => make("figure", { class: "film-sheet" },
    make("figcaption", {}, make("b", {}, `Sheet ${one.index}`), ` ${one.film}${one.turned ? ", fed turned" : ""}`),
    sheet(one, scale, desk))));
}

function sheet(one, scale, desk) {
  const [w, h] = one.size;
  const type = (FIGURE_PX / scale) * MM;
  const up = make("g", { transform: "scale(1,-1)" });
  const words = make("g", { class: "on-film", "aria-hidden": "true" });
  up.append(make("rect", { class: `sheet-${one.kind}`, width: w, height: h }));
  if (one.kind === "clear") up.append(make("rect", { class: "edge", width: w, height: h, fill: `url(#clear-${one.index})` }));
  if (one.rest) {
    const [x0, y0, x1, y1] = one.rest.box;
    up.append(make("rect", { class: "rest", x: x0, y: y0, width: x1 - x0, height: y1 - y0 }));
    words.append(label(one.rest.words, (x0 + x1) / 2, (y0 + y1) / 2, type, x1 - x0));
  }
  for (const part of one.used) {
    up.append(path(part.d, { class: "gone", fill: `url(#gone-${one.index})` }));
    if (part.word) words.append(label(part.word, part.at[0], part.at[1], type, w));
  }
  const [a0, b0, a1, b1] = one.area;
  up.append(make("rect", { class: "printable", x: a0, y: b0, width: a1 - a0, height: b1 - b0 }));
  for (const [x, y] of one.marks) up.append(path(`M${x - 2000} ${y}l4000 0M${x} ${y - 2000}l0 4000`, { class: "earlier" }));
  one.pieces.forEach((lying) => up.append(piece(lying, desk)));
  up.append(path(one.fills, { class: "waste" }), path(one.numbers, { class: "waste" }),
    ...one.lines.map((line) => path(line.d, { class: "waste-line", "stroke-width": line.width })));
  const names = one.pieces.length === 1 ? "1 piece" : `${one.pieces.length} pieces`;
  return make("svg", { "data-sheet": one.index, viewBox: `0 ${-h} ${w} ${h}`, width: (w / MM) * scale, height: (h / MM) * scale, role: "group", "aria-label": `Sheet ${one.index}, ${one.film}, ${names}` },
    make("defs", {}, hatch(`gone-${one.index}`, "hatch-gone", 1.6), hatch(`clear-${one.index}`, "hatch-clear", 7)), up, words);
}

/** Diagonal strokes so many millimetres apart. */
function hatch(id, kind, apart) {
  const step = apart * MM;
  return make("pattern", { id, width: step, height: step, patternUnits: "userSpaceOnUse" },
    make("path", { class: kind, d: `M0 0L${step} ${step}M${-step / 4} ${step * 0.75}L${step / 4} ${step * 1.25}M${step * 0.75} ${-step / 4}L${step * 1.25} ${step / 4}` }));
}

/** Words in the middle of a place, smaller where it is narrow. */
function label(text, x, y, size, room) {
  const fits = Math.min(size, (room * 0.92) / (text.length * 0.52));
  return make("text", { x, y: -y + fits * 0.35, "font-size": fits, "text-anchor": "middle" }, text);
}

function piece(one, desk) {
  const drawn = desk.arts[one.key];
  const id = idOf(one);
  if (!drawn) return make("g");
  const [x0, y0, x1, y1] = drawn.box;
  const chosen = id === desk.chosen;
  const frame = { x: x0, y: y0, width: x1 - x0, height: y1 - y0 };
  const wrong = one.wrong.length > 0;
  const group = make("g", {
    class: `lying${wrong ? " wrong" : ""}${chosen ? " chosen" : ""}`, role: desk.still ? null : "button", tabindex: desk.still ? null : chosen || id === desk.first ? "0" : "-1",
    "data-key": `piece ${id}`, "aria-pressed": desk.still ? null : String(chosen),
    "aria-label": `${one.name}${one.pinned ? ", pinned" : ""}${wrong ? `, ${one.wrong.join(", ")}` : ""}`,
  }, make("title", {}, one.name), parts(drawn), make("rect", { ...frame, class: "grip" }),
  one.pinned ? make("circle", { class: "pin", cx: (x0 + x1) / 2, cy: (y0 + y1) / 2, r: Math.min(1200, (x1 - x0) / 4, (y1 - y0) / 4) }) : null,
  make("rect", { ...frame, class: "ring" }));
  place(group, one, 0, 0);
  if (!desk.still) hold(group, one, id, desk);
  return group;
}

function place(group, one, dx, dy) {
  group.setAttribute("transform", `translate(${one.at[0] + dx * MM} ${one.at[1] + dy * MM}) rotate(${one.turn})`);
}

/** Whether a piece may lie where it is held: one question at a time, the newest only. */
function asking(group, one, id, desk) {
  let [next, busy, turn] = [null, false, 0];
  const answer = { dx: 0, dy: 0, sheet: undefined, wrong: [] };
  async function run() {
    busy = true;
    while (next) {
      const [[dx, dy, sheet], now] = [next, turn];
      next = null;
      const found = await desk.question("/ask/sheet/lies", { piece: id, dx, dy, sheet });
      // What was put back meanwhile is not asked about any more.
      if (now !== turn) continue;
      Object.assign(answer, { dx, dy, sheet, wrong: found?.wrong ?? [] });
      // The screen may have been drawn again meanwhile.
      (known.get(id)?.group ?? group).classList.toggle("wrong", answer.wrong.length > 0);
      desk.tell(answer.wrong[0] ?? (found?.at ? `${one.name}: ${found.at}` : ""), answer.wrong.length > 0);
    }
    busy = false;
  }
  let running = Promise.resolve();
  return {
    ask(dx, dy, sheet) {
      next = [dx, dy, sheet];
      if (!busy) running = run();
      return running;
    },
    stop() {
      turn += 1;
      next = null;
    },
    answer,
  };
}

function hold(group, one, id, desk) {
  const asked = asking(group, one, id, desk);
  const home = () => {
    asked.stop();
    place(group, one, 0, 0);
    group.classList.remove("lifted");
    group.classList.toggle("wrong", one.wrong.length > 0);
  };
  known.set(id, { asked, desk, home, group });
  async function put(dx, dy, sheet) {
    await asked.ask(dx, dy, sheet);
    const { wrong } = asked.answer;
    if (wrong.length) {
      home();
      desk.tell(`${wrong[0]}. It is back where it lay.`, true);
      return;
    }
    const failed = await desk.act("move", { piece: id, dx, dy, sheet });
    if (failed) home();
  }
  group.addEventListener("pointerdown", (event) => drag(event, group, one, { asked, put, home, id, desk }));
  group.addEventListener("keydown", (event) => keys(event, group, one, { asked, put, home, id, desk }));
  // A screen that is drawn again puts the focus back; only who goes elsewhere lets go.
  group.addEventListener("blur", () => setTimeout(() => {
    if (lifted?.id !== id || document.activeElement?.dataset?.key === `piece ${id}`) return;
    lifted = null;
    known.get(id).home();
    desk.tell(`${one.name} is back where it lay.`, false);
  }));
  if (lifted?.id === id) place(group, one, lifted.dx, lifted.dy);
  group.classList.toggle("lifted", (lifted ?? landing)?.id === id);
}

function drag(event, group, one, { asked, put, home, id, desk }) {
  if (event.button) return;
  const own = group.closest("svg");
  const films = [...own.closest(".films").querySelectorAll("svg[data-sheet]")].map((svg) => ({ svg, box: svg.getBoundingClientRect(), matrix: svg.querySelector("g").getScreenCTM().inverse() }));
  const mine = films.find((film) => film.svg === own);
  const at = (now, film) => new DOMPoint(now.clientX, now.clientY).matrixTransform(film.matrix);
  const over = (now) => films.find(({ box }) => now.clientX >= box.left && now.clientX <= box.right && now.clientY >= box.top && now.clientY <= box.bottom) ?? mine;
  const from = at(event, mine);
  const way = (now, film) => [at(now, film).x - from.x, at(now, film).y - from.y].map((one) => Math.round(one / 10) / 100);
  let [dx, dy, frame] = [0, 0, 0];
  let film = mine;
  group.setPointerCapture(event.pointerId);
  group.classList.add("held");
  group.closest("svg").classList.add("holding");
  const sheet = () => (film === mine ? undefined : Number(film.svg.dataset.sheet));
  const moving = (now) => {
    film = over(now);
    [dx, dy] = way(now, film);
    const drawn = way(now, mine);
    frame ||= requestAnimationFrame(() => {
      frame = 0;
      place(group, one, ...drawn);
      if (sheet() || Math.hypot(dx, dy) > 0.3) asked.ask(dx, dy, sheet());
    });
  };
  const done = (keep) => {
    group.removeEventListener("pointermove", moving);
    removeEventListener("keydown", escape);
    group.classList.remove("held");
    group.closest("svg")?.classList.remove("holding");
    cancelAnimationFrame(frame);
    if (keep && (sheet() || Math.hypot(dx, dy) > 0.3)) put(dx, dy, sheet());
    else {
      home();
      if (keep) desk.choose(id);
    }
  };
  const escape = (key) => { if (key.key === "Escape") done(false); };
  group.addEventListener("pointermove", moving);
  group.addEventListener("pointerup", () => done(true), { once: true });
  group.addEventListener("pointercancel", () => done(false), { once: true });
  addEventListener("keydown", escape);
}

function keys(event, group, one, { home, id, desk }) {
  const step = event.shiftKey ? 0.1 : 1;
  const way = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] }[event.key];
  if (event.ctrlKey || event.altKey || event.metaKey) return;
  if (way) {
    event.preventDefault();
    const held = lifted?.id === id ? lifted : { id, dx: 0, dy: 0 };
    lifted = { id, dx: Math.round((held.dx + way[0] * step) * 100) / 100, dy: Math.round((held.dy + way[1] * step) * 100) / 100 };
    place(group, one, lifted.dx + (landing?.dx ?? 0), lifted.dy + (landing?.dy ?? 0));
    group.classList.add("lifted");
    lay(id);
  } else if (event.key === "Escape" && lifted?.id === id) {
    lifted = null;
    home();
    desk.tell(`${one.name} is back where it lay.`, false);
  } else if (event.key === "Enter" || event.key === " ") {
    event.preventDefault();
    desk.choose(id);
  } else if (event.key === "PageDown" || event.key === "PageUp") {
    event.preventDefault();
    desk.step(id, event.key === "PageDown" ? 1 : -1);
  } else if (event.key.toLowerCase() === "s") desk.next(id);
  else if (event.key.toLowerCase() === "p") desk.pin(one);
  else if (event.key.toLowerCase() === "t") desk.act("turn", { piece: id });
}

/** A piece that the arrow keys hold is laid down as soon as it fits; what is pressed meanwhile counts from there. */
async function lay(id) {
  if (laying) return;
  laying = true;
  while (lifted?.id === id) {
    const { dx, dy } = lifted;
    const { asked, desk } = known.get(id);
    await asked.ask(dx, dy);
    if (lifted?.dx !== dx || lifted?.dy !== dy) continue;
    if (asked.answer.wrong.length) break;
    [landing, lifted] = [lifted, null];
    await desk.act("move", { piece: id, dx, dy, key: id });
    landing = null;
    if (!lifted) document.querySelector(".lying.lifted")?.classList.remove("lifted");
  }
  laying = false;
}
