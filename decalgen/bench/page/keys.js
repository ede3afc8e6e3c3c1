// The keys of a screen, told by F1; those of a single character can be switched off (WCAG 2.1.4), for this browser.

import { fill, make } from "./dom.js";
import { singleKeys } from "./single.js";

const ALWAYS = [["E", "the next finding, where it is"], ["1 … 9", "a step of the card"], ["0", "your film"], ["Ctrl + Z", "undo"], ["Ctrl + Shift + Z", "redo"], ["F1", "these keys"]];
const sheet = make("dialog", { class: "keysheet", "aria-labelledby": "keysof" });

/** Shows the keys of a screen. `own`: pairs of a key and what it does there. */
export function showKeys(name, own) {
  if (sheet.open) return sheet.close();
  if (!sheet.isConnected) document.body.append(sheet);
  const rows = (some) => make("dl", {}, some.map(([key, words]) => [make("dt", {}, make("kbd", {}, key)), make("dd", {}, words)]));
  const tick = make("input", { type: "checkbox", checked: singleKeys(), "data-key": "single keys", "aria-describedby": "singlekeys", onchange: () => { localStorage.singleKeys = tick.checked ? "on" : "off"; } });
  fill(sheet,
    make("h2", { id: "keysof" }, `Keys on ${name}`),
    own.length ? rows(own) : null,
    make("h3", {}, "On every screen"), rows(ALWAYS),
    make("label", { class: "tick" }, tick, "Keys of a single character"),
    make("p", { class: "quiet", id: "singlekeys" }, "Switched off, a letter, figure or sign does nothing outside a field, unless a piece is chosen: for those who speak to the computer, or press keys by accident."),
    make("button", { class: "main", onclick: () => sheet.close() }, "Close"));
  sheet.showModal();
  return null;
}
