// Film: the drawer. Every sheet small, the chosen one large: what is gone is hatched, and a part is cut off by dragging.

import { capital, fill, make, path } from "./dom.js";
import { choice, doing, field, form, put } from "./fields.js";
import { files } from "./files.js";
import { telling } from "./told.js";

const MM = 1000;
const SNAP = 2 * MM; // an edge of the sheet takes a dragged line so near, µm
let dropDrag = () => {};
addEventListener("keydown", (event) => { if (event.key === "Escape") dropDrag(); });
const MOST_LETTERS = 1_800_000;

export function show(root, screen, page) {
  const one = screen.chosen;
  fill(root,
    screen.wrong ? make("p", { class: "wrong", role: "alert" }, screen.wrong) : null,
    screen.sheets.length ? make("div", { class: "drawer", role: "group", "aria-label": "Sheets in the drawer" }, screen.sheets.map((sheet) => small(sheet, one, page, longest(screen), screen.said))) : null,
    report(screen, page),
    one ? make("div", { class: "spread" }, large(root, one), make("aside", { class: "side" }, about(one, page))) : null,
    one ? acts(root, one, screen, page) : null,
    screen.wrong ? null : adding(screen, page),
    copies(screen, page));
}

/** The longest side of all sheets, and the tallest of them. */
const longest = (screen) => [Math.max(...screen.sheets.flatMap((one) => one.drawing.box)), Math.max(...screen.sheets.map((one) => one.drawing.box[3]))];

function small(sheet, chosen, page, [most, tallest], said) {
  const [, , wide, high] = sheet.drawing.box;
  const picture = drawing(sheet.drawing, `${sheet.name}, ${sheet.words}`, false);
  const scale = 6.4 / most;
  picture.style.width = `${wide * scale}rem`;
  picture.style.height = `${high * scale}rem`;
  const frame = make("span", { class: "film" }, picture);
  frame.style.height = `${tallest * scale}rem`;
  return make("button", {
    class: sheet.over ? "over" : "", "aria-pressed": String(chosen?.name === sheet.name), "data-key": `sheet ${sheet.name}`, onclick: () => { sessionStorage.seen = JSON.stringify(said); page.go({ sheet: sheet.name }); },
  }, frame, make("b", {}, sheet.name), make("span", {}, sheet.words), sheet.more ? make("span", {}, sheet.more) : null);
}

/** A sheet: film that is left, parts that are gone hatched by why, the largest piece left, marks, the edge fed first. */
function drawing(sheet, words, large) {
  const [, , wide, high] = sheet.box;
  const pad = large ? 6 * MM : MM;
  const turned = make("g", { transform: "scale(1,-1)" },
    make("rect", { class: "backing", x: 0, y: 0, width: wide, height: high }),
    path(sheet.free, { class: `left ${sheet.kind}`, "fill-rule": "evenodd" }),
    sheet.gone.map((one) => {
      const why = one.why.replace(" ", "-");
      return [path(one.d, { class: `gone ${why}`, "fill-rule": "evenodd" }), path(one.hatch, { class: `hatch ${why}` })];
    }),
    make("rect", { class: "rim", x: 0, y: 0, width: wide, height: high }),
    large ? [sheet.coming.map((d) => path(d, { class: "coming" })), box(sheet.largest), path(sheet.arrow, { class: "arrow" }), sheet.marks.map(([x, y]) => path(`M${x - 2 * MM} ${y}l${4 * MM} 0M${x} ${y - 2 * MM}l0 ${4 * MM}`, { class: "mark" }))] : null);
  const made = make("svg", { viewBox: `${-pad} ${-high - pad} ${wide + 2 * pad} ${high + 2 * pad}`, role: "img", "aria-label": words }, turned);
  if (large) made.append(...labels(sheet, Math.max(wide, high)));
  return made;
}

const box = (at) => (at.length ? make("rect", { class: "largest", x: at[0], y: at[1], width: at[2] - at[0], height: at[3] - at[1] }) : null);

/** Words in the parts they are of, where they have room. */
function labels(sheet, longest) {
  const size = longest / 34;
  const text = (x, y, words, kind) => [
    make("text", { class: `${kind} casing`, x, y: -y, "font-size": size, "text-anchor": "middle", "dominant-baseline": "middle", "aria-hidden": "true" }, words),
    make("text", { class: kind, x, y: -y, "font-size": size, "text-anchor": "middle", "dominant-baseline": "middle" }, words)];
  const fits = (one) => one.room[0] > one.words.length * size * 0.5 && one.room[1] > size * 1.3;
  const found = sheet.labels.map((one) => {
    const short = { ...one, words: one.words.split(":")[0] };
    return fits(one) ? text(...one.at, one.words, "what") : fits(short) ? text(...one.at, short.words, "what") : [];
  });
  const at = sheet.largest;
  if (at.length) found.push(text((at[0] + at[2]) / 2, (at[1] + at[3]) / 2, sheet.size, "size"));
  return found.flat();
}

/** The chosen sheet; a rectangle that is dragged over it goes into the boxes of what to cut off. */
function large(root, one) {
  const picture = drawing({ ...one.drawing, coming: one.prints.map((print) => print.d) }, `${one.name}: ${one.lines.join("; ")}`, true);
  const cutting = make("rect", { class: "cutting" });
  const [, , wide, high] = one.drawing.box;
  const snapped = (v, most) => (v < SNAP ? 0 : v > most - SNAP ? most : Math.round(v / MM) * MM);
  let from = null;
  const spot = (event) => {
    const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(picture.getScreenCTM().inverse());
    return [snapped(at.x, wide), snapped(-at.y, high)];
  };
  picture.append(cutting);
  picture.addEventListener("pointerdown", (event) => {
    if (event.button || event.pointerType === "touch") return; // a finger scrolls
    from = spot(event);
    picture.setPointerCapture(event.pointerId);
  });
  picture.addEventListener("pointermove", (event) => {
    if (!from) return;
    const to = spot(event);
    const [x, y, w, h] = [Math.min(from[0], to[0]), Math.min(from[1], to[1]), Math.abs(from[0] - to[0]), Math.abs(from[1] - to[1])];
    for (const [key, value] of Object.entries({ x, y: -y - h, width: w, height: h })) cutting.setAttribute(key, value);
    if (w && h) aim(root, { x, y, width: w, height: h });
  });
  const stop = () => { from = null; };
  picture.addEventListener("pointerup", stop);
  picture.addEventListener("pointercancel", stop);
  dropDrag = () => { stop(); cutting.removeAttribute("width"); };
  return make("div", { class: "sheet" }, picture, make("p", { class: "quiet" }, "Drag over the sheet to mark a part that you cut off."));
}

/** Opens the boxes of a rectangle and fills them, in mm. */
function aim(root, at) {
  const way = root.querySelector('[data-key="cut way"]');
  if (way.value !== "rectangle") {
    way.value = "rectangle";
    way.dispatchEvent(new Event("change"));
  }
  for (const [key, value] of Object.entries(at)) put(root, `cut ${key}`, String(value / MM));
}

function about(one, page) {
  const last = one.steps.at(-1);
  return [
    make("h2", {}, one.name),
    make("ul", { class: "plainlist" }, one.lines.map((line) => make("li", {}, line))),
    one.prints.length ? make("h2", {}, "Printed on it?") : null,
    one.prints.map((print) => [make("p", {}, print.words),
      doing(page, "/do/film/use", { also: { sheet: one.name, file: print.file }, key: `use ${print.file}` }, "It is printed: mark it as used")]),
    one.steps.length ? [make("h2", {}, "What was done to it"), make("ol", { class: "history" }, one.steps.map((step) => make("li", {}, step))),
      doing(page, "/do/film/back", { also: { sheet: one.name, done: one.done }, key: "back" }, "Undo the last", make("span", {}, last))] : null];
}

function acts(root, one, screen, page) {
  const also = { sheet: one.name };
  return make("div", { class: "acts" },
    one.over ? null : cutting(one, screen, page),
    one.printed ? make("section", {}, make("h2", {}, "The last print lies elsewhere?"),
      make("p", { class: "quiet" }, "A proof for a part-used sheet draws the marks of earlier prints in a box. Lay it over the film, edges flush, hold both to a window, and measure how far the film's marks are from those drawn."),
      form(page, "/do/film/shift", { label: "Shift", button: "Shift the last print", also },
        field("shift x", "To the right", { unit: "mm", placeholder: "-0.4", inputmode: "text" }), field("shift y", "Up", { unit: "mm", placeholder: "0.2" }))) : null,
    make("section", {}, make("h2", {}, "On paper"),
      form(page, "/do/film/show", { label: "Picture", button: "Make a picture of it", also, quiet: true }, choice("show form", "Form", ["pdf", "svg", "png"])),
      one.carrier ? make("p", { class: "tools" }, "It rides on a carrier sheet: ", doing(page, "/do/film/carrier", { also, key: "carrier" }, "Make the page that carries it")) : null));
}

const WAYS = [["edge", "a strip along an edge"], ["corner", "a corner"], ["rectangle", "a rectangle"], ["polygon", "any shape"], ["all", "all of it: used up, thrown away"]];

/** The boxes of what was cut off by hand: which ones depends on what it is. */
function cutting(one, screen, page) {
  const boxes = make("div", { class: "line" });
  const mm = (key, words, more = {}) => field(`cut ${key}`, words, { unit: "mm", inputmode: "decimal", ...more });
  const wanted = {
    edge: () => [choice("cut edge", "Edge", screen.choices.leads), mm("depth", "Depth", { placeholder: "60" })],
    corner: () => [choice("cut corner", "Corner", screen.choices.corner), mm("width", "Width"), mm("height", "Height")],
    rectangle: () => [mm("x", "From the left"), mm("y", "From the bottom"), mm("width", "Width"), mm("height", "Height")],
    polygon: () => [field("cut polygon", "Its corners in order, mm", { placeholder: "0,0 40,0 0,30", help: "x,y of each, with a full stop for fractions" })],
    all: () => [],
  };
  const way = choice("cut way", "What was cut off", WAYS, { onchange: (event) => fill(boxes, wanted[event.target.value]()) });
  fill(boxes, wanted[way.querySelector("select").value]());
  return make("section", {}, make("h2", {}, "Cut off by hand"),
    form(page, "/do/film/cut_off", { label: "Cut off", button: "It is cut off", also: { sheet: one.name } }, way, boxes),
    make("p", { class: "quiet" }, "All from the lower left corner that the sheet had when it was whole."));
}

function adding(screen, page) {
  // The drawer, and what was done, are further up.
  const after = () => document.querySelector(".said, .drawer")?.scrollIntoView({ block: "center" });
  const sender = form(page, "/do/film/add", { label: "Add", button: "Put in", after },
  choice("add kind", "Film", screen.choices.kind, { title: "White film backs the colours; through clear film the paint shows." }), choice("add adhesive", "Sticks by", screen.choices.adhesive, { title: "What holds it on the model." }),
  choice("add process", "Made for", screen.choices.process, { title: "The printers that its packet names." }),
  field("add size", "Size", { list: "sizes", placeholder: "A5", help: "A5, or 210 × 100 mm" }),
  make("datalist", { id: "sizes" }, screen.choices.size.map((one) => make("option", { value: one }))),
  field("add count", "How many", { inputmode: "numeric", placeholder: "1", title: "How many sheets of this kind you put in." }),
  field("add price", "Price of a sheet", { placeholder: "4.50 EUR", title: "What one sheet cost, with its currency; the cost of a print follows from it." }),
  field("add bought", "When bought", { placeholder: "March 2026", help: "The older is used first." }),
  choice("add leads", "Edge that enters the printer first", screen.choices.leads, { title: "The edge the printer takes first; it leaves a margin there." }),
  field("add name", "Name", { help: "Left empty: its kind, size and a number" }),
  field("add note", "Note", { placeholder: "old packet, curls", title: "Anything worth knowing when you take it out." }));
  const empty = !screen.sheets.length;
  return make("details", { class: "adding", open: empty || Boolean(sessionStorage.adding), ontoggle: (event) => {
    if (event.target.open) sessionStorage.adding = "yes";
    else delete sessionStorage.adding;
  } }, make("summary", {}, "Put sheets in"), sender);
}

/** What the last act said, and how it is undone; until one turns to another sheet. */
function report(screen, page) {
  const now = screen.said;
  if (!now.done || sessionStorage.seen === JSON.stringify(now)) return null;
  const undo = now.undo && doing(page, "/do/film/shift", { also: now.undo, key: "shift back" }, "Shift it back");
  return make("section", { class: "said", "aria-label": "Done" }, make("p", {}, make("b", {}, capital(now.done), now.lines.length ? ": " : "."), now.lines.join("; ")), undo, now.files.length ? files(now) : null);
}

function copies(screen, page) {
  const [wrong, tell] = telling("import");
  const pick = make("input", { type: "file", accept: ".json", "data-key": "import", title: "A copy of the drawer that was made here or by the command.", onchange: async () => {
    const file = pick.files[0];
    if (!file) return;
    const failed = file.size > MOST_LETTERS
      ? { message: `'${file.name}' is too large for the page`, fix: `type \`decalgen film import ${file.name}\`` }
      : await page.ask("/do/film/bring_in", { name: file.name, text: await file.text() });
    tell(failed);
  } });
  return make("details", {}, make("summary", {}, "Copies of the drawer"),
    make("p", { class: "quiet" }, screen.kept),
    make("p", { class: "tools" }, doing(page, "/do/film/export", { key: "export" }, "Write it all to a file"), make("label", {}, make("span", {}, "Put in the sheets of such a file; what is there stays"), pick)), wrong,
    screen.left.map(([what, line]) => make("p", { class: "quiet" }, `On the command line only: ${what}: `, make("code", {}, line))));
}
