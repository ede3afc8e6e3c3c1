// Two changes of the same value: both shown side by side, and one is chosen. And what a server took into its end.

import { make } from "./dom.js";

/**
 * A clash as a section above the work. `places`: `{of, mine, theirs}` each, where "" is nothing; `whose`: who made the
 * other; `choose("mine" | "theirs")`.
 */
export function clashSection({ message, places, whose }, choose) {
  const side = (title, text, key, words) => make("div", { class: "side-of" },
    make("h3", {}, title), make("pre", {}, text || "(nothing)"), make("button", { "data-key": `clash ${key}`, onclick: () => choose(key) }, words));
  return make("section", { class: "clash", role: "alert", "aria-label": "Changed twice" },
    make("h2", {}, `${message[0].toUpperCase()}${message.slice(1)}. Which is to stay?`),
    places.map((one, n) => make("div", { class: "place" },
      places.length > 1 ? make("p", { class: "quiet" }, one.of) : null,
      make("div", { class: "both" },
        n ? make("div", { class: "side-of" }, make("h3", {}, "Yours"), make("pre", {}, one.mine || "(nothing)")) : side("Yours", one.mine, "mine", "Keep mine"),
        n ? make("div", { class: "side-of" }, make("h3", {}, whose), make("pre", {}, one.theirs || "(nothing)")) : side(whose, one.theirs, "theirs", "Keep theirs")))),
    make("p", { class: "quiet" }, "Nothing else is touched. Undo brings the other back."));
}

/** Changes that a server took into its end. `again`: makes them anew, null where that is left to the user. */
export function lostSection(labels, again, leave) {
  return make("section", { class: "clash", role: "alert", "aria-label": "Not kept" },
    make("h2", {}, "decalgen ended before it could tell that this is kept"),
    make("ul", {}, labels.map((one) => make("li", {}, one))),
    make("p", { class: "both" },
      again && make("button", { class: "main", "data-key": "lost again", onclick: again }, "Make it again"),
      make("button", { "data-key": "lost leave", onclick: leave }, again ? "Leave it" : "I have looked")));
}
