// What stands above every screen: a finished job to try, a file that is gone or read-only; and turning to another job.

import { make } from "./dom.js";
import { telling } from "./told.js";
import { forget, lostChanges } from "./wire.js";

// What a tab notes of the job that it shows; changes that are not kept yet, and what is typed beside the job, stay.
const OF_JOB = /^(view|asking|films|hand|looks|bodyHidden|proof .*)$/;

/** From here on the page shows another job: nothing that was noted of the one before goes with it. */
export function turnTo(view, job) {
  Object.keys(sessionStorage).filter((key) => OF_JOB.test(key)).forEach((key) => delete sessionStorage[key]);
  sessionStorage.job = job;
  Object.assign(view, { job, screen: "", panel: "", decal: "", asking: "", adding: "", like: "" });
}

/** Opens a job by its name among those that are shown. Gives null, or what was wrong. */
export async function openJob(page, job) {
  const answer = await page.request("/open", { job });
  if (answer?.found.address) {
    location.href = answer.found.address;
    return null;
  }
  return follow(page, answer);
}

/** Shows the job that an answer names. Gives null, or what was wrong. */
export async function follow(page, answer) {
  if (answer?.status !== 200) return answer?.found ?? null;
  turnTo(page.view, answer.found.job);
  await page.go({});
  return null;
}

/** What has to be said before anything else. */
export function notices(state, page) {
  const apart = ["jobs", "new", "begin"].includes(state.shown);
  return [
    state.demo?.length && !apart ? make("aside", { class: "finished", "aria-label": "A finished job" },
      make("p", {}, make("b", {}, state.demo[0]), " ", state.demo[1]),
      state.spoilt && make("button", { "data-key": "original", onclick: () => page.ask("/restore", { do: "original" }) }, "Put it back as it came"),
      make("button", { class: "main", "data-key": "own", onclick: () => page.go({ screen: "new" }) }, "Begin your own")) : null,
    state.restore?.kind && !apart ? restore(state.restore, page) : null,
  ];
}

// What was typed as the name of a copy, by what was offered: all is drawn anew as more is told of the file.
const copyNames = new Map();

/** A file that is gone, or takes no change: what can be done about it. */
function restore(found, page) {
  const [wrong, tell] = telling(`restore ${found.name}`);
  const send = async (body) => {
    const answer = await page.request("/restore", { ...body, view: page.view });
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
  const name = make("input", {
    value: copyNames.get(found.name) ?? found.name, "data-was": found.name, "data-key": "copy name", autocomplete: "off", spellcheck: "false",
    oninput: () => copyNames.set(found.name, name.value),
  });
  return make("section", { class: "mistake", "aria-label": "The job file" },
    make("p", {}, found.words),
    make("div", { class: "line" },
      found.kind === "gone" && make("button", { class: "main", "data-key": "put back", onclick: () => send({ do: "back" }) }, "Put it back"),
      make("form", { class: "line", onsubmit: (event) => { event.preventDefault(); send({ do: "as", name: name.value }); } },
        make("label", {}, make("span", {}, "Keep a copy as"), name),
        make("button", { "data-key": "copy" }, "Keep the copy"))),
    wrong);
}
