// What is told above all else: a mistake in the file, what was changed twice, what a server took into its end, and a file
// that is gone or read-only.

import { capital, make } from "./dom.js";
import { drafting, drop } from "./drafts.js";
import { follow } from "./opening.js";
import { say } from "./passing.js";
import { telling } from "./told.js";
import { clashedChange, forget, lostChanges } from "./wire.js";

/**
 * What was changed twice, in the file and here, and the changes that are lost. `page`: `act`, `load` and `showNotes` of the
 * whole page, `job()` and `run()`.
 */
export function notes(inFile, clash, lost, page) {
  const dismiss = () => {
    lost.forEach(forget);
    page.showNotes();
  };
  return [
    inFile && clashSection({ ...inFile, whose: "Your editor's" }, (keep) => page.act("/settle", { keep, of: inFile.of })),
    clash && clashSection({ message: clash.message, places: [clash], whose: "The other" }, (keep) => settle(keep, page)),
    lost.length ? lostSection([...new Set(lost.map((one) => one.body.label ?? "your last step"))], lost.some((one) => one.body.edits) && (() => again(page)), dismiss) : null];
}

/** Settles a change that was made here and elsewhere: made once more over the other, or left. */
async function settle(keep, page) {
  const one = clashedChange(page.job());
  forget(one);
  if (keep === "mine") {
    const same = (at) => JSON.stringify(at) === JSON.stringify(one.clash.at);
    const edits = one.body.edits.map((edit) => (same(edit.at) ? { ...edit, was: one.clash.raw } : edit));
    const wrong = await page.act(one.path, { ...one.body, edits });
    if (wrong && !clashedChange(page.job())) say(`Your change could not be made: ${wrong.message}`);
  }
  return page.load();
}

/** Makes changes again that a server took into its end; those that were kept after all stay as they are. */
async function again(page) {
  for (const one of lostChanges(page.job(), page.run())) {
    forget(one);
    const wrong = one.body.edits && await page.act(one.path, one.body);
    if (wrong && !clashedChange(page.job())) say(`${one.body.label}: ${wrong.message}`);
  }
  return page.load();
}

/** A mistake that keeps the file from being read: its line, and a way to mend it here. */
export function mistake(one, act) {
  const box = make("section", { class: "mistake", "aria-label": "Mistake in the file" },
    make("p", {}, make("b", { class: "error" }, one.line ? `${one.file ? `${one.file}, line` : "Line"} ${one.line}: ` : ""), one.message),
    one.fix && make("p", { class: "quiet" }, one.fix));
  if (one.file) box.append(make("p", { class: "quiet" }, `Correct it in ${one.file}, in an editor.`));
  else if (one.line && one.text.trim()) {
    const place = `mend ${one.line} ${one.text}`;
    const line = drafting(place, make("input", {
      value: one.text, "data-was": one.text, "aria-label": `Line ${one.line} of the file`, "data-key": "mend", spellcheck: "false",
      title: "The line as it stands in the file: correct it, and it is put back in its place.",
    }));
    const put = () => act("/line", { line: one.line, was: one.text, to: line.value }, () => drop(place));
    box.append(make("div", { class: "fixing" }, line, make("button", { class: "main", onclick: put }, "Put this line in")));
  }
  return box;
}

/** A file that is gone, or takes no change: what can be done about it. */
export function restore(found, page) {
  const [wrong, tell] = telling(`restore ${found.name}`);
  const send = async (body) => {
    const answer = await page.request("/restore", { ...body, view: page.view });
    if (answer?.status === 200) drop("copy name");
    if (answer?.status === 200 && answer.found.job === page.view.job) await page.go({});
    else tell(await follow(page, answer));
  };
  if (found.kind === "left") {
    // What the tab noted of the same changes is in it.
    const take = async () => {
      if (!(await page.ask("/restore", { do: "left" }))) lostChanges(page.view.job, page.run).forEach(forget);
    };
    return make("section", { class: "mistake", "aria-label": "The job file" }, make("p", {}, found.words),
      make("div", { class: "line" },
        make("button", { class: "main", "data-key": "take left", onclick: take }, "Take it over"),
        make("button", { "data-key": "leave left", onclick: () => page.ask("/restore", { do: "leave" }) }, "Leave it there")));
  }
  const name = drafting("copy name", make("input", {
    value: found.name, "data-was": found.name, "data-key": "copy name", title: "A file name that is free in the folder of the job.", autocomplete: "off", spellcheck: "false",
  }));
  return make("section", { class: "mistake", "aria-label": "The job file" },
    make("p", {}, found.words),
    make("div", { class: "line" },
      found.kind === "gone" && make("button", { class: "main", "data-key": "put back", onclick: () => send({ do: "back" }) }, "Put it back"),
      make("form", { class: "line", onsubmit: (event) => { event.preventDefault(); send({ do: "as", name: name.value }); } },
        make("label", {}, make("span", {}, "Keep a copy as"), name),
        make("button", { "data-key": "copy" }, "Keep the copy"))),
    wrong);
}

/**
 * A clash as a section above the work. `places`: `{of, mine, theirs}` each, where "" is nothing; `whose`: who made the
 * other; `choose("mine" | "theirs")`.
 */
function clashSection({ message, places, whose }, choose) {
  const side = (title, text, key, words) => make("div", { class: "side-of" },
    make("h3", {}, title), make("pre", {}, text || "(nothing)"), make("button", { "data-key": `clash ${key}`, onclick: () => choose(key) }, words));
  return make("section", { class: "clash", role: "alert", "aria-label": "Changed twice" },
    make("h2", {}, `${capital(message)}. Which is to stay?`),
    places.map((one, n) => make("div", { class: "place" },
      places.length > 1 ? make("p", { class: "quiet" }, one.of) : null,
      make("div", { class: "both" },
        n ? make("div", { class: "side-of" }, make("h3", {}, "Yours"), make("pre", {}, one.mine || "(nothing)")) : side("Yours", one.mine, "mine", "Keep mine"),
        n ? make("div", { class: "side-of" }, make("h3", {}, whose), make("pre", {}, one.theirs || "(nothing)")) : side(whose, one.theirs, "theirs", "Keep theirs")))),
    make("p", { class: "quiet" }, "Nothing else is touched. Undo brings the other back."));
}

/** Changes that a server took into its end. `again`: makes them anew, null where that is left to the user. */
function lostSection(labels, again, leave) {
  return make("section", { class: "clash", role: "alert", "aria-label": "Not kept" },
    make("h2", {}, "decalgen ended before it could tell that this is kept"),
    make("ul", {}, labels.map((one) => make("li", {}, one))),
    make("p", { class: "both" },
      again && make("button", { class: "main", "data-key": "lost again", onclick: again }, "Make it again"),
      make("button", { "data-key": "lost leave", onclick: leave }, again ? "Leave it" : "I have looked")));
}
