// Printer: its target is drawn as it is printed, and its spans are typed into boxes of the same letters.

import { capital, fill, make, path } from "./dom.js";
import { draft, drop, note } from "./drafts.js";
import { choice, doing, field, form } from "./fields.js";
import { files } from "./files.js";
import { refused, telling } from "./told.js";

const DEFAULTS = { printer: "", name: "", film: "white A5", tool: "caliper", tray: "", paper: "", feed: "short edge first" };

/** The day here, as a calibration is dated. */
function today() {
  const now = new Date();
  return [now.getFullYear(), now.getMonth() + 1, now.getDate()].map((one) => String(one).padStart(2, "0")).join("-");
}

export function show(root, screen, page) {
  const asked = { ...DEFAULTS, date: today(), ...screen.target.asked };
  const pick = (more) => page.go({ target: JSON.stringify({ ...asked, ...more }) });
  fill(root,
    screen.wrong ? make("p", { class: "wrong", role: "alert" }, screen.wrong) : null,
    said(screen),
    sheet(screen, page),
    profiles(screen, pick, page),
    make("section", { "aria-label": "Which printer and film" }, make("h2", { id: "which" }, "Which printer, with which film"), which(screen, asked, pick), asked.printer ? null : make("p", { class: "quiet" }, screen.plain)),
    screen.target.wrong ? make("p", { class: "wrong", role: "alert" }, screen.target.wrong) : [target(screen.target, asked, page), swatches(screen, asked, page)],
    make("details", {}, make("summary", {}, "On the command line only"), make("p", { class: "quiet" }, screen.kept),
      screen.left.map(([what, line]) => make("p", { class: "quiet" }, `${capital(what)}: `, make("code", {}, line)))));
}

/** What all below is for. A change takes effect when the box is left. */
function which(screen, asked, pick) {
  const box = (key, words, more) => make("label", {}, make("span", {}, words), make("input", {
    "data-key": `which ${key}`, value: asked[key], "data-was": asked[key], autocomplete: "off", spellcheck: "false", onchange: (event) => pick({ [key]: event.target.value.trim() }), ...more,
  }));
  const one = (key, words, options, title) => make("label", {}, make("span", {}, words), make("select", { title, "data-key": `which ${key}`, onchange: (event) => pick({ [key]: event.target.value }) },
    options.map((option) => {
      const [kept, shown] = Array.isArray(option) ? option : [option, option];
      return make("option", { value: kept, selected: kept === asked[key] }, shown);
    })));
  return make("div", { class: "line" },
    one("printer", "Printer", screen.choices.printer, "The printer whose size and colours are measured."),
    asked.printer && !/\.ya?ml$/i.test(asked.printer) ? null : box("name", "Its name", { placeholder: "desk inkjet", title: "What you call it; its readings are kept under this name." }),
    box("film", "Film", { list: "films", placeholder: "white A5", title: "The film that it is measured with." }),
    make("datalist", { id: "films" }, screen.choices.film.map((film) => make("option", { value: film }))),
    one("tool", "Measured with", screen.choices.tool, "The instrument sets how far each reading is trusted."),
    one("feed", "Fed", screen.choices.feed, "Which edge of the sheet enters the printer first."),
    box("tray", "Tray, if it has several", { placeholder: "rear", title: "Trays feed differently, so each is measured by itself." }),
    box("paper", "Paper type, if it is set", { placeholder: "transparency", title: "What the printer is set to take the film for, by its own word: film is printed with it." }),
    box("date", "Day it was printed", { type: "date", title: "Drift is told from the days between measurements." }));
}

function target(found, asked, page) {
  const picture = drawing(found);
  const light = (span) => {
    const [x0, y0, x1, y1] = found.spans.find((one) => one.span === span).ends;
    picture.querySelector(".lit").setAttribute("d", `M${x0} ${y0}L${x1} ${y1}`);
  };
  return make("section", { "aria-label": "Size" }, make("h2", {}, "Its size: the target"),
    make("ol", { class: "history" }, found.how.map((one) => make("li", {}, one))),
    make("p", { class: "tools" }, doing(page, "/do/printer/target", { also: asked, key: "target" }, "Make the target")),
    found.waits ? make("p", { class: "warning" }, found.waits) : make("div", { class: "spread" },
      make("div", { class: "drawing target" }, picture),
      make("div", {}, make("p", { class: "quiet" }, "Three readings for each letter; Enter goes on. What you type is kept at once."),
        found.spans.map((one) => span(one, found, asked, page, light)), verdict(found, asked, page))));
}

function drawing(found) {
  const [, , wide, high] = found.box;
  const turned = make("g", { transform: "scale(1,-1)" }, make("rect", { class: "paper", x: 0, y: 0, width: wide, height: high }), make("path", { class: "lit", d: "" }),
    (found.drawing ?? []).map((one) => path(one.d, { class: one.kind, "fill-rule": "evenodd" })));
  return make("svg", { viewBox: `0 ${-high} ${wide} ${high}`, role: "img", "aria-label": `The target with its spans ${found.spans.map((one) => one.label).join("; ")}` }, turned);
}

/** One span: its letter, how long it should be, and three boxes. */
function span(one, found, asked, page, light) {
  const name = (n) => `span ${one.letter}${n + 1}`;
  const own = `typed ${asked.name || asked.printer} ${asked.film} ${one.letter}`;
  // Said beside it until they are right, whatever is done meanwhile.
  const [wrong, tell] = telling(own, { stays: true, id: `wrong-${one.letter}` });
  const count = Math.max(3, one.typed.length);
  const next = (n) => (n + 1 < count ? name(n + 1) : `span ${found.spans[found.spans.indexOf(one) + 1]?.letter}1`);
  const boxes = Array.from({ length: count }, (_, n) => make("input", {
    value: draft(own + n, "") ?? one.typed[n] ?? "", "data-was": one.typed[n] ?? "", "data-key": name(n), inputmode: "decimal", autocomplete: "off", spellcheck: "false",
    "aria-label": `${one.label}, reading ${n + 1}`, "aria-describedby": `wrong-${one.letter}`, "aria-invalid": refused(own) && draft(own + n, "") !== undefined && "true",
    onfocus: () => light(one.span),
    oninput: (event) => note(own + n, event.target.value, ""),
    onblur: send,
    onkeydown: (event) => {
      if (event.key !== "Enter") return;
      event.preventDefault();
      // On at once: a caliper with a cable does not wait for the answer. Leaving the box sends it.
      const to = document.querySelector(`[data-key="${next(n)}"]`) ?? document.querySelector('[data-key="keep profile"]');
      if (to) to.focus();
      else send();
      to?.select?.();
    },
  }));
  async function send() {
    const values = boxes.map((box) => box.value.trim());
    const words = values.filter(Boolean).join(" ");
    if (words === one.typed.join(" ") && !refused(own)) return;
    const failed = await page.ask("/do/printer/type", { ...asked, span: one.span, words });
    if (!failed) values.forEach((value, n) => { if (draft(own + n, "")?.trim() === value) drop(own + n, ""); });
    tell(failed);
    // What was drawn meanwhile is of before the answer.
    values.forEach((value, n) => {
      const box = document.querySelector(`[data-key="${name(n)}"]`);
      if (failed && value) box?.setAttribute("aria-invalid", "true");
      else box?.removeAttribute("aria-invalid");
    });
  }
  const row = make("div", { class: "span" }, make("span", { class: "ring", "aria-hidden": "true" }, one.letter), make("span", { class: "name" }, one.label.split(", ")[1], make("small", { class: "quiet" }, `asked ${one.asked} mm`)), boxes, wrong);
  row.style.setProperty("--boxes", count);
  return row;
}

/** What the readings say so far; it is kept as a profile by a button. */
function verdict(found, asked, page) {
  const now = found.verdict;
  return make("section", { class: "verdict", "aria-label": "What it says", "aria-live": "polite" }, make("h2", {}, "What it says"),
    now.wrong ? make("p", { class: "wrong" }, now.wrong) : null,
    now.open ? make("p", { class: "quiet" }, now.open) : null,
    now.lines.length ? make("ul", { class: "plainlist" }, now.lines.map((line) => make("li", {}, line))) : null,
    findings(now.findings),
    now.lines.length ? doing(page, "/do/printer/keep", { also: asked, key: "keep profile" }, `Keep it as a profile of ${asked.name || asked.printer}`) : null,
    found.kept ? make("p", { class: "quiet" }, `What you typed is in ${found.kept} until it is used.`) : null);
}

const findings = (found) => (found ?? []).map((one) => make("p", { class: one.severity }, make("b", {}, one.severity), ` ${one.subject}: ${one.message}`, one.fix ? make("span", { class: "quiet" }, ` → ${one.fix}`) : null));

function said(screen) {
  const now = screen.said;
  if (!now.done) return null;
  return make("section", { class: "said", "aria-label": "Done" }, make("p", {}, make("b", {}, capital(now.done), ".")),
    now.lines.length ? make("ul", { class: "plainlist" }, now.lines.map((line) => make("li", {}, line))) : null, findings(now.findings), now.groups.length ? files({ ...now, lines: [] }) : null);
}

/** Which of them the sheet of this job is printed with. */
function sheet(screen, page) {
  if (screen.sheet.choices.length < 2) return null;
  const [wrong, tell] = telling("sheet printer");
  return make("div", { class: "line" }, make("label", {}, make("span", {}, "This sheet is printed with"), make("select", { "data-key": "sheet printer", onchange: async (event) => {
    tell(await page.ask("/do/printer/choose", { printer: event.target.value }));
  } }, screen.sheet.choices.map(([kept, words]) => make("option", { value: kept, selected: kept === screen.sheet.printer }, words)))), wrong);
}

/** The profiles: what each holds for, its calibrations and check bars in the order of time. */
function profiles(screen, pick, page) {
  if (!screen.profiles.length) return null;
  return make("section", { "aria-label": "Profiles" }, make("h2", {}, "Kept profiles"), screen.profiles.map((one) => make("div", { class: `profile${one.drifted ? " drifted" : ""}` },
    make("p", {}, make("b", {}, one.words), one.drifted ? make("b", { class: "warning" }, " has drifted") : null),
    make("ul", { class: "plainlist" }, one.lines.map((line) => make("li", {}, line))), drift(one),
    make("p", { class: "tools" }, make("button", { "data-key": `again ${one.named}`, onclick: () => pick({ ...one.setting, name: "" }) }, "Calibrate it again")),
    make("details", {}, make("summary", {}, "Has it drifted? Type what a print on film measures"), bars(one, screen, page)))));
}

/** The prints measured since the calibration: x and y beside each other, in the band that is allowed. */
function drift(one) {
  if (!one.drift.length) return null;
  const [high, step] = [44, 96];
  const most = Math.max(2 * one.allowed, ...one.drift.flatMap((move) => [Math.abs(move.x ?? 0), Math.abs(move.y ?? 0)]));
  const at = (percent) => (-percent / most) * high;
  const wide = 60 + step * one.drift.length;
  const dots = one.drift.flatMap((move, n) => ["x", "y"].filter((axis) => move[axis] !== null).map((axis) =>
    make("text", { x: 80 + n * step + (axis === "y" ? 20 : 0), y: at(move[axis]) + 5, class: Math.abs(move[axis]) > one.allowed ? "off" : "" }, axis)));
  const words = one.drift.map((move) => `${move.date}: ${["x", "y"].filter((axis) => move[axis] !== null).map((axis) => `${axis} ${move[axis]} %`).join(", ")}`).join("; ");
  return make("svg", { class: "drift", width: wide, height: 2 * high + 42, viewBox: `0 ${-high - 14} ${wide} ${2 * high + 42}`, role: "img", "aria-label": `Off since the calibration, ${one.allowed.toFixed(1)} % allowed. ${words}` },
    make("rect", { class: "allowed", x: 52, y: at(one.allowed), width: wide - 52, height: 2 * Math.abs(at(one.allowed)) }),
    make("line", { x1: 52, x2: wide, y1: 0, y2: 0 }),
    [one.allowed, 0, -one.allowed].map((percent) => make("text", { class: "soft", x: 46, y: at(percent) + 5, "text-anchor": "end" }, `${percent > 0 ? "+" : percent < 0 ? "\u2212" : ""}${Math.abs(percent).toFixed(1)} %`)),
    dots, one.drift.map((move, n) => make("text", { class: "soft", x: 56 + n * step, y: high + 22 }, move.date)));
}

function bars(one, screen, page) {
  const key = (name) => `bars ${one.named} ${name}`;
  return make("div", {}, make("p", { class: "quiet" }, "Measure from cross to cross on a dry print, across and up the sheet. The record of the print says how long they should be."),
    form(page, "/do/printer/bars", { label: `Bars of ${one.named}`, button: "Keep the readings", also: { profile: one.named } },
      field(key("x"), "Across", { unit: "mm", name: "x", help: "several with spaces between" }), field(key("y"), "Up", { unit: "mm", name: "y" }),
      field(key("date"), "Day of the print", { type: "date", name: "date", value: today() }),
      choice(key("record"), "Record of the print", [["", "none: 100 mm"], ...screen.records], { name: "record" }),
      field(key("sheet"), "Sheet", { name: "sheet", placeholder: "1", inputmode: "numeric" }),
      field(key("asked_x"), "Should be, across", { name: "asked_x", unit: "mm" }), field(key("asked_y"), "Should be, up", { name: "asked_y", unit: "mm" }),
      choice(key("tool"), "Measured with", screen.choices.tool, { name: "tool" })));
}

/** The colours: swatches on the film, and what was seen of them. */
function swatches(screen, asked, page) {
  const found = screen.swatches;
  const box = (name, words, more = {}) => field(`swatch ${name}`, words, { name: `reading ${name}`, what: name, ...more });
  return make("details", { open: Boolean(sessionStorage.swatches), ontoggle: (event) => { if (event.target.open) sessionStorage.swatches = "yes"; else delete sessionStorage.swatches; } },
    make("summary", {}, "Its colours and finest lines: the swatches"),
    make("p", { class: "quiet" }, found.measured.length ? `Measured so far: ${found.measured.join(", ")}.` : "Nothing of it is measured yet."),
    make("p", { class: "tools" }, doing(page, "/do/printer/swatches", { also: asked, key: "swatches" }, "Make the swatch sheet"), "Print it at 100 % on the film itself, lay it on white card, and type what you read. Leave empty what you did not read."),
    form(page, "/do/printer/colours", { label: "Colours", button: "Keep them in a new printer file", also: asked },
      found.inks.map((ink) => box(ink.name, ink.name, { title: "The colour you read on its patch, as L*a*b* or #rrggbb.", placeholder: "lab(58 52 60)", colour: ink.colour })),
      found.colours.map((one) => box(one.name, one.name, { help: one.about, placeholder: "#1b1a1c" })),
      found.sizes.map((one) => box(one.name, `${one.letter} ${one.name}`, { unit: "mm", help: one.about, placeholder: "0.15", inputmode: "decimal" })),
      field("swatch output", "New printer file", { name: "output", value: found.output, help: "beside the job; none is written over" })));
}
