// What stands above every screen: a finished job to try; and turning to another job.

import { make } from "./dom.js";
import { turned } from "./turning.js";

// What a tab notes of the job that it shows; changes that are not kept yet, and what is typed beside the job, stay.
const OF_JOB = /^(view|asking|films|hand|looks|bodyHidden|proof .*)$/;

/** From here on the page shows another job: nothing that was noted of the one before goes with it. */
export function turnTo(view, job) {
  Object.keys(sessionStorage).filter((key) => OF_JOB.test(key)).forEach((key) => delete sessionStorage[key]);
  sessionStorage.job = job;
  turned();
  Object.keys(view).forEach((key) => { view[key] = ""; });
  Object.assign(view, { job, other: "later" });
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

/** What has to be said before anything else. `restore(found, page)`: draws what is wrong with the job file. */
export function notices(state, page, restore) {
  const apart = ["jobs", "new", "begin"].includes(state.shown);
  return [
    state.demo?.length && !apart ? make("aside", { class: "finished", "aria-label": "A finished job" },
      make("p", {}, make("b", {}, state.demo[0]), " ", state.demo[1]),
      state.spoilt && make("button", { "data-key": "original", onclick: () => page.ask("/restore", { do: "original" }) }, "Put it back as it came"),
      make("button", { class: "main", "data-key": "own", onclick: () => page.go({ screen: "new" }) }, "Begin your own")) : null,
    restore && state.restore?.kind && !apart ? restore(state.restore, page) : null,
  ];
}
