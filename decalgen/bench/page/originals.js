// Originals: a scan or photo of what is left of one: what tells its size, the part that is read, the fit over it, each value
// with its ±, and that as a decal of the job.

import { bring, chooser, takesPictures } from "./bringing.js";
import { capital, fill, make, reason } from "./dom.js";
import { draft, drafting, drop, note } from "./drafts.js";
import { once, press, single } from "./once.js";
import { boxOf, glass } from "./scan_glass.js";
import { cornerList, intoPanels, outline, pointsOf } from "./scan_outline.js";
import { telling } from "./told.js";
import { adding, colours, values } from "./scan_values.js";

const CARD = [85.6, 53.98]; // ISO/IEC 7810, ID-1: only for where the corners lie to begin with
const CORNERS = ["Lower left corner", "Lower right corner", "Upper right corner", "Upper left corner"];
const SIDES = ["Upper left corner of the frame", "Lower right corner of the frame"];
const SPOTS = { white: "a white patch", black: "a black patch", own_white: "a spot that was white once" };
let now = null; // what is shown: { root, screen, page }
const modes = new Map(); // by picture: what is pointed at on it just now, and whether all of it is shown

export const KEYS = [["arrows", "move the chosen corner by a pixel of the scan"], ["Shift + arrows", "ten times finer"], ["Ctrl + arrows", "ten times further"], ["Enter", "in a box: use what is typed"]];

export function show(root, screen, page) {
  now = { root, screen, page };
  root.classList.add("originals");
  takesPictures(root, (file) => takeIn(file, page));
  const one = screen.picture;
  const [wrong, tell] = telling("picture", { stays: true });
  if (!one) {
    fill(root, make("div", { class: "empty" }, choose(page, "Choose a scan or photo", true), make("p", { class: "quiet" }, "PNG, JPEG or TIFF. Drop it anywhere on this screen. It stays in memory and is only read.")), wrong, besides(screen, page), advice());
    return;
  }
  const mode = modes.get(one.key) ?? (one.said.by === "corners" && !one.said.corners.length ? { what: "corners" } : one.waits ? { what: "points" } : {});
  modes.set(one.key, mode);
  // Asked for after an answer, the screen is another one by now.
  const again = (change) => { Object.assign(mode, change); if (now.root.isConnected) show(now.root, now.screen, now.page); };
  const say = (what) => page.ask("/do/originals/say", { what });
  fill(root,
    shelf(screen, page), wrong,
    make("div", { class: "scanned" },
      make("div", {}, view(screen, page, mode, again, say), progress(screen, page), trouble(screen, page, again, say, tell), settings(screen, page, again, say)),
      screen.read ? [make("aside", { class: "side", "aria-label": "What was read" }, values(screen, page), colours(screen, mode, again, say, SPOTS)), adding(screen, page)] : null,
      screen.outline ? [make("aside", { class: "side", "aria-label": "What was read" }, outline(screen, say)), intoPanels(screen, page)] : null),
    besides(screen, page));
}

// ------------------------------------------------------------------------------------------------------------ pictures
/** Hands a picture to the server; what is wrong with it is told beside the others. */
function takeIn(file, page) {
  const [, tell] = telling("picture", { stays: true });
  return once(page, "bring picture", async () => {
    tell(null);
    tell(await bring(page, "/original", file));
  });
}

const choose = (page, words, main = false) => chooser(words, (file) => takeIn(file, page), { key: "choose picture", label: "Scan or photo", title: "A PNG, JPEG or TIFF picture; it can be dropped on this screen too.", main });

/** The pictures that are here, and what is done with the one that is shown. */
function shelf(screen, page) {
  const one = screen.picture;
  const several = screen.pictures.length > 1 ? screen.pictures.map((other) => make("button", { "data-key": `picture ${other.key}`, "aria-pressed": String(other.key === one.key), onclick: () => page.ask("/do/originals/show", { key: other.key }) }, other.name)) : null;
  return [several ? make("div", { class: "tools", role: "group", "aria-label": "Pictures" }, several) : null, make("div", { class: "tools" }, choose(page, "Another picture"),
    one.kept ? make("span", { class: "quiet" }, `beside the job as ${one.kept}`) : make("button", { "data-key": "keep picture", title: "Copies it into the folder of the job. No file there is written over.", onclick: press(page, "keep picture", () => page.ask("/do/originals/keep")) }, "Keep it beside the job"),
    make("button", { "data-key": "put away", title: "Takes it off this screen. A copy beside the job stays, and what was added to the job too.", onclick: press(page, "put away", () => page.ask("/do/originals/away")) }, "Put it away"))];
}

/** Pictures that lie in the job's folder. */
function besides(screen, page) {
  const names = screen.beside.filter((name) => name !== screen.picture?.kept);
  if (!names.length) return null;
  return make("section", {}, make("h2", {}, "Pictures beside the job"), make("div", { class: "tools" }, names.map((name) => make("button", { "data-key": `beside ${name}`, onclick: press(page, `beside ${name}`, async () => telling("picture", { stays: true })[1](await page.ask("/do/originals/beside", { name }))) }, name))));
}

const advice = () => make("section", { class: "advice" }, make("h2", {}, "Before you scan"), make("ul", {},
  make("li", {}, "300 dpi or more, 600 for parts under 1 mm; all that improves pictures switched off."),
  make("li", {}, "On a ground of one colour, unlike its own: grey paper is good."),
  make("li", {}, "A plain card right beside it, all of it in the picture, never a payment card: it tells the size to 0.2\u00a0%, measured with a caliper to 0.05\u00a0%."),
  make("li", {}, "From 300\u00a0mm away, a photo is 1\u00a0% out for every 3\u00a0mm of depth: put the card level with the original.")));

// ---------------------------------------------------------------------------------------------------------- under glass
/** The picture, with what is pointed at on it. */
function view(screen, page, mode, again, say) {
  const one = screen.picture;
  const read = screen.read ?? screen.outline;
  const drawn = [];
  const pointing = Boolean(mode.what);
  const all = pointing || mode.all || !read;
  const card = read?.card ?? [];
  if (all && card.length && mode.what !== "corners") drawn.push({ kind: "card", d: `M${card.map((at) => at.join(" ")).join(" L")} Z` });
  if (all && read && mode.what !== "part") drawn.push({ kind: "part", d: frameOf(read.part) });
  if (read && !pointing) drawn.push(...read.edges.map((edge) => ({ kind: edge.there ? "edge" : "edge gone", d: edge.d })));
  const more = { box: boxOf(one, all ? null : read.part), drawn, words: read ? `${one.name} with what was fitted to it` : one.name };
  if (screen.outline && !pointing) more.labels = screen.outline.corners;
  return [glass(page, one, { ...more, ...pointed(screen, mode, again, say) }), pointing ? below(screen, page, mode, again, say) : looking(screen, mode, again)];
}

const frameOf = ([left, top, right, bottom]) => `M${left} ${top} L${right} ${top} L${right} ${bottom} L${left} ${bottom} Z`;

/** Where the corners lie: as they were dragged, said or found; else in the middle. */
function cornersOf({ picture: one, read }) {
  const noted = draft(`corners ${one.key}`);
  if (noted) return JSON.parse(noted);
  if (one.said.corners.length) return one.said.corners;
  if (read?.card.length) return read.card;
  const wide = Math.min(0.5 * one.width, (0.5 * one.height * CARD[0]) / CARD[1]);
  const [x, y, high] = [one.width / 2, one.height / 2, (wide * CARD[1]) / CARD[0]];
  return [[-1, 1], [1, 1], [1, -1], [-1, -1]].map(([i, j]) => [x + (i * wide) / 2, y + (j * high) / 2]);
}

function partOf({ picture: one, read }) {
  const noted = draft(`part ${one.key}`);
  return noted ? JSON.parse(noted) : one.said.part ?? read?.part ?? [0.25, 0.25, 0.75, 0.75].map((share, n) => Math.round(share * (n % 2 ? one.height : one.width)));
}

const named = (at, names) => at.map(([x, y], n) => ({ x, y, name: names[n] }));

/** What can be pointed at just now. */
function pointed(screen, mode, again, say) {
  const one = screen.picture;
  if (mode.what === "corners") {
    const points = named(cornersOf(screen), CORNERS);
    return { points, rim: (at) => at, moved: () => note(`corners ${one.key}`, JSON.stringify(points.map(({ x, y }) => [x, y]))) };
  }
  if (mode.what === "part") {
    const part = partOf(screen);
    const points = named([part.slice(0, 2), part.slice(2)], SIDES);
    const now = () => points.flatMap(({ x, y }) => [x, y]);
    return {
      points, rim: ([a, b]) => [a, [b[0], a[1]], b, [a[0], b[1]]],
      moved: () => note(`part ${one.key}`, JSON.stringify(now().map(Math.round))),
      frame: (part) => { drop(`part ${one.key}`); mode.what = ""; say({ part }); },
    };
  }
  if (mode.what === "points") {
    const list = pointsOf(screen);
    const points = list.map(([x, y], n) => ({ x, y, name: `Corner ${n + 1}` }));
    const keep = () => note(`points ${one.key}`, JSON.stringify(list));
    return {
      points, rim: (at) => at, moved: (n, x, y) => { list[n].splice(0, 2, x, y); keep(); },
      spot: (x, y) => { list.push([x, y, false, ""]); keep(); again({}); },
    };
  }
  if (!mode.what) return {};
  const middle = named([spotOf(one, mode.what) ?? [one.width / 2, one.height / 2]], [SPOTS[mode.what]]);
  mode.spot = middle[0];
  return { points: middle, moved: () => null, spot: (x, y) => take(one, mode, say, x, y) };
}

function spotOf(one, what) {
  const found = one.said[what].match(/^([\d.]+),([\d.]+)/);
  return found && [Number(found[1]), Number(found[2])];
}

function take(one, mode, say, x, y) {
  const what = mode.what;
  mode.what = "";
  say({ [what]: `${x.toFixed(1)},${y.toFixed(1)}` });
}

/** Below the picture while something is pointed at: what to do, and to have done with it. */
function below(screen, page, mode, again, say) {
  const one = screen.picture;
  const [wrong, tell] = telling("pointing");
  const use = async (what, key) => {
    const failed = await say(what);
    if (!failed) {
      drop(`${key} ${one.key}`);
      again({ what: "" });
    }
    tell(failed);
  };
  const way = {
    points: [one.said.what === "tape" ? "Press each corner of the pencil line, once round; drag them, or move them by the arrow keys. Where a corner is round, put it where its sides would meet." : "Press each corner of the panel, once round; drag them, or move them by the arrow keys. Where a corner is round, put it where its sides would meet.", "Read this outline", () => use({ points: pointsOf(screen) }, "points")],
    corners: ["Drag each corner onto one of the card, or choose it and use the arrow keys: the lens shows where it is. Where the card's corners are round, put it where its sides would meet.", "Use these corners", () => use({ by: "corners", corners: cornersOf(screen) }, "corners")],
    part: ["Drag a frame round one pattern, with a little of the ground; or move its corners by the arrow keys.", "Read this part", () => use({ part: partOf(screen) }, "part")],
  }[mode.what] ?? [`Press ${SPOTS[mode.what]}, or move the point by the arrow keys.`, "Take this spot", () => take(one, mode, say, mode.spot.x, mode.spot.y)];
  return make("div", { class: "pointing" }, make("p", {}, way[0]), mode.what === "points" ? cornerList(screen, () => again({})) : null, make("div", { class: "tools" },
    make("button", { class: "main", "data-key": "use points", onclick: single(() => once(page, "use points", async () => way[2]())) }, way[1]),
    make("button", { "data-key": "leave points", onclick: () => { drop(`${mode.what} ${one.key}`); again({ what: "" }); } }, "Leave it")), wrong);
}

/** Below the picture: how much of it is shown, and which part is read. */
function looking(screen, mode, again) {
  const one = screen.picture;
  return make("div", { class: "tools" },
    screen.read || screen.outline ? make("button", { "data-key": "all of it", "aria-pressed": String(Boolean(mode.all)), onclick: () => again({ all: !mode.all }) }, "Show the whole picture") : null,
    one.said.what !== "pattern" ? make("button", { "data-key": "set points", onclick: () => again({ what: "points" }) }, one.said.points.length || screen.outline ? "Move the corners" : "Set its corners") : make("button", { "data-key": "frame", title: "Where the picture shows more than one pattern: only what is inside the frame is read.", onclick: () => again({ what: "part" }) }, one.said.part ? "Frame another part" : "Frame the part to read"));
}

// -------------------------------------------------------------------------------------------------------------- reading
function progress(screen, page) {
  const { stage, picture: one } = screen;
  if (stage) {
    return make("p", { class: "stage", role: "status" }, make("progress", { "aria-label": "Reading" }), ` ${stage} ... `,
      make("button", { "data-key": "stop", onclick: () => page.ask("/do/originals/stop") }, "Stop"));
  }
  if (screen.read || screen.outline || screen.wrong || one.waits) return null;
  return make("p", {}, "It is not read. ", make("button", { class: "main", "data-key": "read", onclick: press(page, "read", () => page.ask("/do/originals/look")) }, "Read it"));
}

/** Why nothing could be read, with the ways out of it. */
function trouble(screen, page, again, say, tell) {
  const wrong = screen.wrong;
  if (!wrong) return null;
  const ways = {
    corners: ["Set its corners by hand", () => again({ what: "corners" })],
    dpi: ["Go by the dpi alone, ± 0.5 %", () => say({ by: "dpi" })],
    card: ["Look for a card", () => say({ by: "card" })],
    part: ["Frame the part to read", () => again({ what: "part" })],
    points: ["Move the corners", () => again({ what: "points" })],
  };
  return make("section", { class: "trouble", role: "alert" }, make("p", {}, make("b", {}, capital(reason({ message: wrong.wrong, fix: wrong.fix })))),
    make("div", { class: "tools" }, wrong.ways.map((key) => (key === "another" ? choose(page, "Another picture") : make("button", { "data-key": `way ${key}`, onclick: async () => tell(await ways[key][1]()) }, ways[key][0])))));
}

/** What tells the size, and which pattern it is. */
function settings(screen, page, again, say) {
  const one = screen.picture;
  const read = screen.read ?? screen.outline;
  const said = one.said;
  const panel = said.what !== "pattern";
  const what = make("select", { "data-key": "what", title: "What the picture is of.", onchange: async (event) => {
    const to = event.target.value;
    await say({ what: to });
    again({ what: to === "photo" && !said.points.length ? "points" : "" });
  } }, [["pattern", "what is left of a decal"], ["tape", "a panel traced on tape"], ["photo", "a panel itself"]].map(([key, words]) => make("option", { value: key, selected: key === said.what }, words)));
  const by = make("select", { "data-key": "size by", title: "What the size is worked out from.", onchange: async (event) => {
    const to = event.target.value;
    if (to === "corners" && !said.corners.length) again({ what: "corners" });
    else await say({ by: to });
  } }, [["card", "a card beside it, found by itself"], ["corners", "a card whose corners I set"], ["dpi", "the dpi alone, ± 0.5 %"]].map(([key, words]) => make("option", { value: key, selected: key === said.by }, words)));
  const kind = make("select", { "data-key": "kind", title: "Say which it is where it is misread.", onchange: (event) => say({ kind: event.target.value }) },
    [["", "recognise it"], ...screen.patterns].map(([key, words]) => make("option", { value: key, selected: key === said.kind }, words)));
  return make("section", { class: "line settings", "aria-label": "How it is read" },
    make("label", {}, make("span", {}, "On the picture"), what),
    panel ? null : make("label", {}, make("span", {}, "The pattern"), kind),
    panel ? ["width", "height"].map((way) => typed(page, `panel ${way}`, `Its ${way}, if you measured it`, said[`panel_${way}`] ?? "", { placeholder: "mm", title: `The ${way} of the box round the panel, along the skin; a \u00b1 may follow. It is weighed against the picture.`, inputmode: "decimal" }, (to) => say({ [way]: to }))) : null,
    make("label", {}, make("span", {}, "Size by"), by),
    said.by === "dpi"
      ? typed(page, "dpi", "Dots per inch", said.dpi, { placeholder: one.dpi ? `${one.dpi}, as the file says` : "such as 300", title: "The scanner's setting, as 300, or 300x600 where the axes differ.", inputmode: "decimal" }, (dpi) => say({ dpi }))
      : typed(page, "card size", "Its size, if you measured it", said.size, { placeholder: "85.60 x 53.98 mm", title: "Width and height; left empty, as ISO/IEC 7810 has them. As in 85.58 x 53.97 mm; with a ± of your own, as in 85.54 mm ± 0.05 x 53.97 mm ± 0.05." }, (size) => say({ size })),
    said.by === "corners" ? make("button", { "data-key": "corners", onclick: () => again({ what: "corners" }) }, "Move its corners") : null,
    said.part ? make("button", { "data-key": "no frame", onclick: () => say({ part: null }) }, "Read all of it") : null,
    read ? make("p", { class: "quiet" }, `The size is by ${read.by}: `, make("b", {}, read.sure.across), " across, ", make("b", {}, read.sure.up), " up.") : null);
}

/** A box that is sent once it is left or Enter is pressed; what was refused stays in it. */
function typed(page, key, words, value, more, send) {
  const [wrong, tell] = telling(`typed ${key}`, { stays: true });
  const box = drafting(`scan ${key}`, make("input", { autocomplete: "off", spellcheck: "false", ...more, value, "data-was": value, "data-key": key, onchange: async () => {
    if (box.value.trim() === value) return drop(`scan ${key}`);
    const failed = await send(box.value.trim());
    if (!failed) drop(`scan ${key}`);
    tell(failed);
  } }));
  return make("label", {}, make("span", {}, words), box, wrong);
}
