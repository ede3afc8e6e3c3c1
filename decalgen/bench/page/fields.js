// Boxes to type into that keep what was typed until it has been used, and the forms they are in.

import { make } from "./dom.js";
import { draft, drop, note } from "./drafts.js";
import { once, press, single } from "./once.js";
import { telling, untold } from "./told.js";

const BESIDE = ""; // what is typed here is of no job
const place = (key, job) => (job ? `chosen ${JSON.stringify([job, key])}` : `chosen ${key}`);
const jobOf = (box) => box.dataset.job ?? BESIDE;
const kept = (box) => (box.matches("select") ? sessionStorage[place(box.dataset.key, jobOf(box))] : draft(box.dataset.key, jobOf(box)));

function forget(box) {
  if (box.matches("select")) delete sessionStorage[place(box.dataset.key, jobOf(box))];
  else drop(box.dataset.key, jobOf(box));
}

/**
 * A box with its label. `key` is its own on the page; `name` is what it is called when it is sent; `job`: the one that what
 * is typed is of, if it is of one.
 */
export function field(key, words, more = {}) {
  const { help, unit, name, what, colour, job = BESIDE, ...rest } = more;
  const id = `help ${key}`.replaceAll(" ", "-"); // said as a description, and not again as part of the name
  const box = make("input", {
    autocomplete: "off", spellcheck: "false", ...rest, "data-key": key, "data-job": job || undefined, "data-was": rest.value ?? "", "data-what": what ?? words, name: name ?? key.split(" ").at(-1),
    value: draft(key, job) ?? rest.value ?? "", "aria-describedby": help && id,
    oninput: (event) => { note(key, event.target.value, job); event.target.removeAttribute("aria-invalid"); rest.oninput?.(event); },
  });
  const ink = colour && make("i", { class: "swatch" });
  if (ink) ink.style.background = colour;
  return make("label", {}, make("span", {}, ink, words, unit ? `, ${unit}` : ""), box, help ? make("small", { id, class: "quiet", "aria-hidden": "true" }, help) : null);
}

/** A choice of words with its label. */
export function choice(key, words, options, more = {}) {
  const { onchange, name, value, title, job = BESIDE } = more;
  const chosen = sessionStorage[place(key, job)] ?? value ?? "";
  return make("label", {}, make("span", {}, words), make("select", {
    title,
    "data-key": key, "data-job": job || undefined, name: name ?? key.split(" ").at(-1), onchange: (event) => { sessionStorage[place(key, job)] = event.target.value; onchange?.(event); },
  }, options.map((one) => {
    const [kept, shown] = Array.isArray(one) ? one : [one, one];
    return make("option", { value: kept, selected: kept === chosen }, shown);
  })));
}

/** A form that sends its boxes, and tells in itself what was wrong: each box stays as it was typed. */
export function form(page, path, more, ...children) {
  const { label, button, also, after, keys, quiet } = more;
  const own = `${path} ${label}`;
  const [wrong, tell] = telling(own, { stays: true });
  const made = make("form", { class: "line", "aria-label": label, "data-key": `form ${own}`, oninput: () => untold(own), onsubmit: (event) => {
    event.preventDefault();
    const boxes = [...made.querySelectorAll("input[name], select[name]")];
    const values = Object.fromEntries(boxes.map((box) => [box.name, box.value.trim()]));
    return once(page, `${own} ${JSON.stringify([values, also])}`, () => send(boxes, values));
  } }, children, make("button", { class: quiet ? "" : "main", "data-key": `send ${label}`, onclick: single() }, button));
  async function send(boxes, values) {
    untold(own);
    // Used up before the answer draws the boxes again; put back where it is refused.
    const drafts = boxes.filter((box) => box.matches("input") || keys).map((box) => [box, kept(box)]);
    drafts.forEach(([box]) => forget(box));
    const failed = await page.ask(path, { ...values, ...also });
    if (!failed) {
      await after?.();
      return;
    }
    tell(failed);
    // Drawn anew meanwhile, the boxes are others; in those nothing was typed but what is put back.
    const now = document.querySelector(`[data-key="${CSS.escape(`form ${own}`)}"]`) ?? made;
    for (const [box, typed] of drafts) if (typed !== undefined && kept(box) === undefined) put(now, box.dataset.key, typed);
    mark(now.querySelectorAll("input[name], select[name]"), failed);
  }
  return make("div", { class: "sender" }, made, wrong);
}

/** Marks the box that a message begins with. */
function mark(boxes, failed) {
  for (const box of boxes) {
    const its = box.dataset.what && failed.message?.startsWith(`${box.dataset.what}:`);
    if (its) box.setAttribute("aria-invalid", "true");
    else box.removeAttribute("aria-invalid");
    if (its) box.focus();
  }
}

/** A button that does one thing, and tells beside it what was wrong. */
export function doing(page, path, more, ...words) {
  const { also, after, key } = more;
  const of = `${path} ${JSON.stringify(also ?? "")}`;
  const [wrong, tell] = telling(of, { name: "span" });
  return make("span", { class: "doing" }, make("button", { "data-key": key ?? path, onclick: press(page, of, async () => {
    const failed = await page.ask(path, also);
    tell(failed);
    if (!failed) await after?.();
  }) }, words), wrong);
}

/** Puts a value into a box as if it was typed. */
export function put(root, key, value) {
  const box = root.querySelector(`[data-key="${CSS.escape(key)}"]`);
  if (!box) return;
  box.value = value;
  if (box.matches("select")) sessionStorage[place(key, jobOf(box))] = value;
  else note(key, value, jobOf(box));
}
