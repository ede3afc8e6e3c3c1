// Making elements. Words are always put in as text, never as markup.

const SVG = "http://www.w3.org/2000/svg";
const VERBATIM = new Set(["pre", "code", "mark", "option", "title", "text"]); // what stands in a file, or takes no markup
const DRAWN = new Set(["svg", "g", "path", "rect", "circle", "text", "line", "title", "defs", "pattern", "clipPath", "image"]);

/**
 * An element. `more`: attributes, `on…` listeners, `class`; then children: elements or texts.
 * @param {string} name @param {Object} more @param {...any} children
 */
export function make(name, more = {}, ...children) {
  const made = DRAWN.has(name) ? document.createElementNS(SVG, name) : document.createElement(name);
  for (const [key, value] of Object.entries(more)) {
    if (value === undefined || value === null || value === false) continue;
    if (key.startsWith("on")) made.addEventListener(key.slice(2), value);
    else if (key === "value") made.value = value;
    else made.setAttribute(key, value === true ? "" : key === "title" || key === "aria-label" ? String(value).replaceAll("`", "") : String(value));
  }
  made.append(...content(name, children));
  return made;
}

/** Puts children in place of what is in an element. */
export function fill(root, ...children) {
  root.replaceChildren(...content(root.localName, children));
}

/** A sentence as commands say it: what stands between backticks, such as a command to type, is set apart. */
export function words(text) {
  return text.split(/`([^`\n]+)`/).map((part, n) => (n % 2 ? make("code", {}, part) : part));
}

/** With a capital to begin with, as a sentence. */
export const capital = (text) => text.slice(0, 1).toUpperCase() + text.slice(1);

/** What was refused and how to mend it, in a sentence; "" where nothing was. */
export function reason(failed) {
  if (!failed) return "";
  return failed.fix ? `${failed.message}: ${failed.fix}` : failed.message ?? "that could not be sent; load the page again";
}

/** What goes into an element of that name. */
function content(name, children) {
  const there = (one) => one !== null && one !== undefined && one !== false && one !== "";
  const given = children.flat(Infinity).filter(there);
  return VERBATIM.has(name) ? given : given.flatMap((one) => (typeof one === "string" ? words(one) : one)).filter(there);
}

/** Only path data is ever drawn: anything else is left out. */
export function path(d, more = {}) {
  return /^[MmLlZz0-9 .-]*$/.test(d) ? make("path", { ...more, d }) : make("g");
}
