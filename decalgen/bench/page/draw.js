// Draw: the decals on their panels. A decal is moved by hand or by the arrow keys; its sentence has a blank a value.

import { decalTools, dropped, focus, keys, matched, pile, whereTo } from "./adding.js";
import { capital, fill, make, reason } from "./dom.js";
import { takesFiles } from "./dropping.js";
import { choosing, chooseSeveral, group, hold } from "./holding.js";
import { figures, ticks } from "./measures.js";
import { script } from "./loading.js";
import { drawing, frame } from "./panel.js";
import { marked, told } from "./places.js";
import { rings } from "./rings.js";
import { BACK, blank, rows, wrongWords } from "./sentence.js";
import { shapes } from "./say.js";
import { onTurn } from "./turning.js";
import { zoomable } from "./zooming.js";

const MM = 1000;
const STALE_MS = 15_000;
const POINTS = (again) => import(`./points.js${again}`);
const NAMES = (again) => import(`./names.js${again}`);
const LETTERINGS = (again) => import(`./letterings.js${again}`);
const DRAWING_INKS = (again) => import(`./drawing_inks.js${again}`);
export const KEYS = [["← →", "0.1 mm"], ["Shift", "0.01 mm"], ["Ctrl", "next edge or middle"], ["G", "with others"], ["+ − 0", "closer, farther, whole"]];
let good = 0; // when the file could be read last, by this browser's clock
let ageing = 0;
let other = null; // the hand that is not worked on, as it was told last: { of, run, version, side }
let naming = null; // the script of the names, once it is asked for
let [tracing, lettering, matching] = [null, null, null]; // those of points and sides, of lettering, and of the inks of drawings, once a decal has some

onTurn(() => { [good, other] = [0, null]; });

export function show(root, screen, page) {
  if (!screen.strip.length) {
    fill(root, make("p", {}, "Measure a panel first."));
    return;
  }
  const again = () => {
    const key = document.activeElement?.dataset?.key;
    show(root, screen, page);
    if (key) focus(key);
  };
  // What a script that came adds waits until no blank is open: it would close.
  const added = () => (root.querySelector(".fill") ? root.addEventListener("focusin", added, { once: true }) : again());
  if ((screen.traced || screen.edged) && !tracing) script(POINTS).then((found) => { tracing = found; added(); }, () => null);
  if (screen.drawings && !matching) script(DRAWING_INKS).then((found) => { matching = found; added(); }, () => null);
  if (screen.letterings?.length && !lettering) script(LETTERINGS).then((found) => { lettering = found; added(); }, () => null);
  const [first, second] = screen.sides;
  const mates = group(screen.panel, screen.decals);
  const large = make("div", { class: "drawing", tabindex: "0", role: "group", "aria-label": "Drawing: plus and minus look closer, arrow keys move what is seen" });
  takesFiles(large, screen, (body) => dropped(page, body));
  const look = first && side(large, first, screen, page, mates, again);
  const clearances = make("h2", {}, "Clearances");
  const aside = make("aside", { class: "side" },
    second && otherHand(first, second, screen, page, clearances),
    first.fit && [clearances, fit(first, screen, page)],
    pile(screen, page),
    screen.lines?.length && [make("h2", {}, "In the file"), make("pre", { class: "file", tabindex: "0", role: "region", "aria-label": `${screen.decal} in the file`, "data-key": "file" }, screen.lines.map((one) => (one.new ? make("mark", {}, `${one.text}\n`) : `${one.text}\n`)))]);
  fill(root,
    age(page.problems),
    variant(screen, page),
    strip(screen, page, first),
    make("div", { class: "spread" }, make("div", {}, tools(first, screen, () => look, mates, again), first?.fit && make("p", { class: `glance ${first.fit.good ? "good" : "warning"}` }, first.fit.verdict), large, told(marked(page, screen.decal)), decalTools(screen, page), sentence(screen, page, again), matching?.drawingInks(screen, (body) => matched(page, body)), nameSection(screen, page, added)), aside));
  look?.apply();
}

/** The other hand, small, with its clearances where they are others; asked for once the first is drawn. */
function otherHand(first, second, screen, page, clearances) {
  const [picture, figures] = [make("div", { class: "small" }), make("div", {})];
  const of = JSON.stringify([second.hand, screen.panel, screen.decal, screen.variant]);
  const put = (one) => {
    const alike = figuresOf(first) === figuresOf(one);
    fill(picture, drawing(one.panel, one.decals, screen.paint, `${one.hand} ${screen.panel}`));
    fill(figures, !alike && fit(one, screen, page));
    fill(clearances, alike ? "Clearances, both hands" : "Clearances");
  };
  // Meanwhile it is seen as it was.
  if (other?.of === of) put(other.side);
  if (other?.of !== of || other.run !== page.run || other.version !== page.version) ask();
  return [make("h2", {}, handed(second.hand, screen.panel)), picture,
    make("button", { class: "plain", "data-key": "hand", onclick: () => page.go({ hand: second.hand }) }, `Work on the ${second.hand} hand`), figures];

  async function ask() {
    const answer = await page.request("/ask/draw/other", { view: { ...page.view } });
    const found = answer?.status === 200 && answer.found;
    if (!found?.side || found.run !== page.run || found.version !== page.version || found.side.hand !== second.hand) return;
    other = { ...found, of };
    if (picture.isConnected) put(found.side);
  }
}

const figuresOf = (one) => JSON.stringify(one?.fit?.clearances.map((row) => row.figures).sort());
const handed = (hand, panel) => capital(hand ? `${hand} ${panel}` : panel);

/** How old the drawing is, while the file cannot be read. */
function age(problems) {
  clearInterval(ageing);
  if (!problems.length) {
    good = Date.now();
    return null;
  }
  if (!good) return make("p", { class: "warning" }, "The drawing is from before that mistake.");
  const words = () => {
    const minutes = Math.floor((Date.now() - good) / 60_000);
    return `The drawing is from before that mistake, ${minutes ? `${minutes} minute${minutes === 1 ? "" : "s"}` : "less than a minute"} old.`;
  };
  const line = make("p", { class: "warning" }, words());
  ageing = setInterval(() => { line.textContent = words(); }, STALE_MS);
  return line;
}

/** Which variant is shown. */
function variant(screen, page) {
  if (!screen.variants) return null;
  const one = (name, words) => make("button", { "aria-pressed": String(name === screen.variant), "data-key": `variant ${name}`, onclick: () => page.go({ variant: name }) }, words);
  return make("div", { class: "tools variant", role: "group", "aria-label": "Variant that is shown" }, make("span", {}, "Variant"),
    one("", "as it is"), screen.variants.map((name) => one(name, name)), screen.variant_said && make("p", { class: "quiet" }, screen.variant_said));
}

function strip(screen, page, first) {
  const panels = screen.strip.map((one) => (one.box ? one : { ...first.panel, decals: first.decals }));
  const widest = Math.max(...panels.map((one) => one.box[2] - one.box[0]));
  return make("div", { class: "strip", role: "group", "aria-label": "Panels" }, panels.map((one) => {
    const picture = drawing(one, one.decals, screen.paint, "", null, 0.02);
    const at = frame(one, 0.02, one.decals);
    // A long roof would push the others down.
    const scale = Math.min(130 / widest, 110 / at.h);
    picture.setAttribute("width", Math.max(28, scale * at.w));
    picture.setAttribute("height", Math.max(20, scale * at.h));
    picture.setAttribute("aria-hidden", "true");
    return make("button", { "aria-pressed": String(one.name === screen.panel), "data-key": `panel ${one.name}`, onclick: () => page.go({ panel: one.name, decal: "" }) }, picture, one.name);
  }));
}

/** What is seen, and how closely; which decals move together. */
function tools(first, screen, look, mates, again) {
  const press = (words, key, act, on) => make("button", { "data-key": key, "aria-pressed": on === undefined ? undefined : String(on), onclick: act }, words);
  return make("div", { class: "tools" }, make("h2", {}, handed(first?.hand, screen.panel)),
    press("Closer", "closer", () => look().zoom(1.4)), press("Farther", "farther", () => look().zoom(1 / 1.4)), press("Whole", "whole", () => look().whole()),
    screen.decals.length > 1 && press(mates.size ? `${mates.size} move together` : "Move several", "several", () => { chooseSeveral(!choosing() && !mates.size); again(); }, choosing() || mates.size > 0), tracing?.adder(screen, again));
}

/** A side with pieces that can be moved. Gives how it is looked at. */
function side(large, shown, screen, page, mates, again) {
  let look = null;
  const svg = drawing(shown.panel, shown.decals, screen.paint, `${shown.hand} ${screen.panel} with its decals`, (decal, parts) => {
    const chosen = decal.name === screen.decal;
    const held = mates.has(decal.name);
    const box = make("rect", { class: chosen ? "pick" : held ? "mate" : "grip", width: decal.size[0], height: decal.size[1] });
    const piece = make("g", {
      class: "piece", tabindex: "0", role: "button", "data-key": `piece ${decal.name}`, "data-name": decal.name,
      "aria-label": `${decal.name}, ${(decal.at[0] / MM).toFixed(2)} mm from the left and ${(decal.at[1] / MM).toFixed(2)} mm from the foot${held ? ", moves together with others" : ""}. Arrow keys move it.`,
      "aria-pressed": String(chosen || held),
    }, parts, make("rect", { class: "grip", width: decal.size[0], height: decal.size[1] }), box);
    hold(piece, decal, shown, screen, page, () => look, again);
    piece.addEventListener("keydown", (event) => keys(event, decal.name, page));
    return piece;
  });
  const [layer, marks] = [make("g", { class: "measures" }), make("g", { class: "ticks", "aria-hidden": "true" })];
  const round = make("g", { class: "rings", "aria-hidden": "true" });
  svg.append(layer, marks, make("g", { class: "guides", "aria-hidden": "true" }), round);
  const traced = tracing?.onDrawing(svg, shown, screen, page, () => look, again);
  large.append(svg, make("p", { class: "caught", role: "status" }));
  const chosen = shown.decals.find((one) => one.name === screen.decal && !one.wrong);
  const open = (key) => document.querySelector(`[data-key="${CSS.escape(`blank decals ${screen.decal} ${key}`)}"]`)?.click();
  const middle = () => chosen && { x: chosen.at[0] + chosen.size[0] / 2, y: -chosen.at[1] - chosen.size[1] / 2 };
  look = zoomable(svg, frame(shown.panel, 0), `${screen.panel} ${shown.hand}`, middle, (unit, seen) => {
    figures(layer, shown, chosen, unit, seen, open);
    ticks(marks, chosen, unit);
    rings(round, marked(page, screen.decal), chosen, unit);
    traced?.(unit);
  });
  large.addEventListener("keydown", (event) => {
    const way = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key];
    if (!way || event.target !== large) return;
    event.preventDefault();
    look.pan(way[0] * 40, way[1] * 40);
  });
  return look;
}

/** What the job says of itself and all names, unfolded once they are asked for. */
function nameSection(screen, page, added) {
  if (screen.names && !naming) script(NAMES).then((found) => { naming = found; added(); }, () => null);
  const turn = () => page.go({ names: screen.names ? "" : "open" }).then(() => focus("names"));
  return make("section", { class: "names", "aria-label": "Inks, paint and names" },
    make("button", { "data-key": "names", "aria-expanded": String(Boolean(screen.names)), onclick: turn }, "Inks, paint and names"),
    screen.names && naming?.names(screen, page));
}

/** The verdict, every clearance, and what would help. */
function fit(shown, screen, page) {
  if (!shown.fit) return null;
  return make("div", { class: "fit" },
    make("p", { class: shown.fit.good ? "good" : "warning" }, shown.fit.verdict),
    shown.fit.remedies.map((one) => make("p", { class: "remedy" }, one.words, " ",
      make("button", { "data-key": `remedy ${one.label}`, onclick: async () => { const failed = await page.ask("/do/draw/remedy", { decal: screen.decal, hand: shown.hand, label: one.label, was: screen.seen }); if (failed) page.say(reason(failed)); } }, one.label))),
    make("ul", {}, shown.fit.clearances.map((one) => make("li", { class: one.good ? "" : "warning" }, make("span", {}, make("b", {}, one.letter), one.letter ? " " : "", one.label), make("span", {}, one.figures)))));
}

function sentence(screen, page, again) {
  if (!screen.decal) return make("p", {}, "No decal is on this panel yet.");
  const [wrong, say] = wrongWords();
  const send = async (one, to, holder) => {
    const where = await whereTo(one, to, holder);
    if (!where) return BACK;
    if (where.file) return page.ask("/do/draw/included", { file: where.file, at: where.at, was: where.raw, to, label: where.label || `${one.label} of ${screen.decal}` });
    // What its layout says anyway is not written here as well.
    const away = !to || one.home?.layout === to;
    if (away && where.raw === null) return BACK;
    const edit = { do: away ? "remove" : "set", at: where.at, was: where.raw, ...(!away && { to }) };
    return page.ask("/edit", { label: where.label || `${one.label} of ${screen.decal}`, edits: [edit] });
  };
  const put = (one, how = send) => (typeof one === "string" ? one : blank(one, say, how));
  return make("div", {},
    screen.elsewhere && make("p", { class: "warning" }, screen.elsewhere),
    make("p", { class: "sentence" }, screen.sentence.map((one) => put(one))), wrong,
    make("p", { class: "keys quiet" }, KEYS.map(([keys, words]) => make("span", { class: "hint" }, keys.split(" ").map((one) => make("kbd", {}, one)), words))),
    screen.values.length ? [make("h2", {}, "What the layout is given"), rows(screen.values, put)] : null,
    tracing?.lists(screen, page, put, again),
    lettering?.letterings(screen, page, put, again),
    shapes(screen, page, put),
    screen.more.length ? make("details", {}, make("summary", {}, "Say more of the decal"), rows(screen.more, put)) : null);
}
