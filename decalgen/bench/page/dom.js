// Making elements. Words are always put in as text, never as markup.

const SVG = "http://www.w3.org/2000/svg";
const DRAWN = new Set(["svg", "g", "path", "rect", "circle", "text", "line", "title", "defs", "pattern"]);

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
    else made.setAttribute(key, value === true ? "" : String(value));
  }
  made.append(...children.flat(Infinity).filter((one) => one !== null && one !== undefined && one !== false && one !== ""));
  return made;
}

/** Puts children in place of what is in an element. */
export function fill(root, ...children) {
  root.replaceChildren(...children.flat(Infinity).filter((one) => one !== null && one !== undefined && one !== false && one !== ""));
}

/** Only path data is ever drawn: anything else is left out. */
export function path(d, more = {}) {
  return /^[MmLlZz0-9 .-]*$/.test(d) ? make("path", { ...more, d }) : make("g");
}
