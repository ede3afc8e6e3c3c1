// The job card: the steps with where each stands, what lies beside the job, undo and redo, and whether all is kept.

import { fill, make } from "./dom.js";

/** Draws the card. `waiting`: whether a change is not answered yet; `page`: what its buttons do. */
export function drawCard(card, state, waiting, page) {
  const { go, act, keysHere } = page;
  document.title = state.title ? `${state.title} · decalgen` : "decalgen";
  const focused = [...card.querySelectorAll("button")].indexOf(document.activeElement);
  // Until a change is answered, what was found is of before it.
  const unsure = (one) => one.key === "check" && waiting && /correct|errors/.test(one.words);
  const buttons = (some, kind) => some.map((one) =>
    make("li", {}, make("button", {
      class: `step${kind}${one.done && !unsure(one) ? " done" : ""}`, "aria-current": one.key === state.shown && "step", onclick: () => go({ screen: one.key }),
    }, make("b", {}, one.name), make("span", {}, unsure(one) ? "being checked ..." : one.words))));
  const kept = state.trouble ? `not kept: ${state.trouble}` : !waiting && state.kept === state.version ? (state.restore?.kind === "locked" ? "read-only" : "all kept") : "being kept ...";
  fill(card,
    make("p", { class: "job" }, make("b", {}, state.title || "decalgen"), make("span", {}, state.scale)),
    make("div", { class: "first" }, make("button", { class: "jobs", "aria-current": state.shown === "jobs" && "step", onclick: () => go({ screen: "jobs" }) }, "Jobs"),
      make("button", { class: "plain", title: "F1", onclick: keysHere }, "Keys")),
    make("nav", { "aria-label": "Steps" }, state.steps.length ? make("ol", {}, buttons(state.steps, "")) : null,
      state.beside.length ? [make("h2", { id: "beside" }, "Beside the job"), make("ul", { "aria-labelledby": "beside" }, buttons(state.beside, " aid"))] : null),
    !state.job ? null : make("div", { class: "undo" },
      make("button", { disabled: !state.undo, onclick: () => act("/undo"), title: "Ctrl+Z" }, "Undo", make("span", {}, state.undo || "nothing done")),
      make("button", { disabled: !state.redo, onclick: () => act("/redo"), title: "Ctrl+Shift+Z" }, "Redo", make("span", {}, state.redo || "nothing undone"))),
    !state.job ? null : make("p", { class: `kept${state.trouble ? " wrong" : ""}` }, make("b", {}, state.file), " ", kept));
  // Whoever walks the card by the keyboard goes on from where they were.
  if (focused >= 0) card.querySelectorAll("button")[focused]?.focus({ preventScroll: true });
}

/** Where the steps lie in a row, the one that is shown stays in sight. */
export function stepInSight(card) {
  const row = card.querySelector("nav");
  const step = row?.querySelector("[aria-current]");
  if (step) row.scrollLeft = step.offsetLeft - row.offsetLeft - (row.clientWidth - step.offsetWidth) / 2;
}
