// The questions that begin a job: one at a time, each answer kept at once; those above can be changed.

import { capital, fill, make } from "./dom.js";
import { drafting, drop, note } from "./drafts.js";
import { once } from "./once.js";
import { follow } from "./opening.js";
import { retyped, telling } from "./told.js";

let asked = ""; // the question that is shown

export function show(root, screen, page) {
  const { question } = screen;
  const key = JSON.stringify([page.view.job, question.at]);
  const fresh = key !== asked;
  asked = key;
  const [wrong, tell] = telling(`answer ${key}`, { id: "wrong" });

  const beginning = page.view.screen === "new";
  const place = `answer ${question.at[0]}`;
  const of = beginning ? "" : page.view.job;

  const answer = (typed) => once(page, `answer ${question.at} ${typed}`, () => send(typed));
  async function send(typed) {
    const draft = drop(place, of);
    if (beginning) {
      const failed = await follow(page, await page.request("/new", { title: typed }));
      if (failed && draft !== undefined) note(place, draft, of);
      tell(failed);
      return;
    }
    const { asking } = page.view;
    page.view.asking = "";
    const failed = await page.ask("/answer", { at: question.at, typed });
    if (failed) {
      if (draft !== undefined) note(place, draft, of);
      page.view.asking = asking;
      // Something else was asked meanwhile: back to what was typed.
      if (!wrong.isConnected && asking) await page.go({});
      if (!wrong.isConnected) retyped(place, typed);
    }
    tell(failed);
  }

  const rows = question.choices.length > 0;
  const field = drafting(place, make("input", {
    value: question.default, "data-was": question.default, "data-key": place, "aria-labelledby": "question",
    "aria-describedby": "about wrong", autocomplete: "off", spellcheck: "false", autofocus: true, maxlength: 200,
  }), of);
  const patches = question.patches && make("div", { class: "patches", role: "group", "aria-label": "Colours" }, question.patches.map(([name, code]) =>
    make("button", { type: "button", class: "patch", "data-key": `patch ${name}`, onclick: () => answer(name) },
      make("svg", { viewBox: "0 0 10 6", "aria-hidden": "true", preserveAspectRatio: "none" }, make("rect", { width: 10, height: 6, fill: code })), name)));
  const choices = rows && make("div", { class: "choices", role: "group", "aria-labelledby": "question" }, question.choices.map(([name, about]) =>
    make("button", { type: "button", "data-key": `choice ${name}`, autofocus: name === question.default, onclick: () => answer(name) }, make("b", {}, name), make("span", {}, about))));
  const empty = rows && !question.default && make("button", { type: "button", "data-key": "choice none", autofocus: true, onclick: () => answer("") }, "Any");
  fill(root, make("div", { class: "asked" },
    soFar(screen.so_far, page),
    make("h2", { class: "question", id: "question" }, `${question.asked}?`),
    make("p", { class: "quiet", id: "about" }, capital(question.about)),
    patches, choices, empty,
    rows ? null : make("form", { class: "line", onsubmit: (event) => { event.preventDefault(); answer(field.value); } },
      make("label", {}, question.patches ? make("span", {}, "Any other colour") : null, field),
      make("button", { class: "main", "data-key": "keep" }, "Keep, and on")),
    wrong));
  // A new question is answered at once: by typing, which goes in place of what is offered, or by Enter.
  if (fresh) queueMicrotask(() => {
    const first = root.querySelector("[autofocus]");
    first?.focus();
    if (first === field && field.value === question.default) field.select();
  });
}

function soFar(rows, page) {
  if (!rows.length) return null;
  return make("dl", { class: "rows so-far" }, rows.map((one) => [
    make("dt", {}, one.at),
    make("dd", {}, make("button", { class: "blank", "data-key": `again ${one.at}`, title: "Change it", onclick: () => page.go({ asking: one.at }) }, one.shown)),
  ]));
}
