// The jobs of the folder, each a small true drawing with its sentence; finished ones to try; and the way to one's own.

import { fill, make } from "./dom.js";
import { openJob } from "./opening.js";
import { drawing, frame } from "./panel.js";
import { telling } from "./told.js";

const seen = new Map();
const WIDE = 215;
const HIGH = 105;
let turn = 0;

export function show(root, screen, page) {
  const now = ++turn;
  const [wrong, tell] = telling("open a job");
  const waiting = [];
  const cards = (jobs) => make("ul", { class: "models" }, jobs.map((one) => {
    const box = make("span", { class: "look" });
    const far = make("span", { class: "far" });
    waiting.push({ job: one.job, put: (found) => look(box, far, found) });
    if (seen.has(one.job)) look(box, far, seen.get(one.job));
    return make("li", {}, make("button", { class: "model", "data-key": `job ${one.job}`, onclick: async () => { tell(await openJob(page, one.job)); } },
      box, make("b", {}, one.title), make("span", {}, [one.scale, one.name].filter(Boolean).join(", ")), far));
  }));
  const like = make("input", { value: screen.like, "data-was": screen.like, "data-key": "like", type: "search", title: "Some letters of it, in capitals or not.", autocomplete: "off", oninput: later(() => page.go({ like: like.value })) });
  fill(root,
    make("p", {}, make("button", { class: "main", "data-key": "own", onclick: () => page.go({ screen: "new" }) }, "Begin your own")),
    wrong,
    screen.total > 6 ? make("p", { class: "line" }, make("label", {}, make("span", {}, "Find a job by its name or title"), like)) : null,
    screen.like && !screen.matching ? make("p", {}, `No job here has '${screen.like}' in its name or title.`) : null,
    screen.jobs.length ? cards(screen.jobs) : null,
    screen.demo.length ? [make("h2", {}, "Finished jobs to try"), make("p", { class: "quiet" }, "Each is opened as a copy: nothing you do to it touches a file of yours."), cards(screen.demo)] : null);
  ask(waiting, page, () => now === turn && root.isConnected);
}

/** Asks for the drawings one after another, while they are still wanted. */
async function ask(waiting, page, wanted) {
  for (const one of waiting) {
    if (!wanted()) return;
    const answer = await page.request(`/jobs/glance?${new URLSearchParams({ job: one.job })}`);
    if (answer?.status !== 200) continue;
    seen.set(one.job, answer.found);
    one.put(answer.found);
  }
}

function look(box, far, found) {
  fill(far, found.words);
  // All panels of a model at one scale, in one row.
  const frames = found.panels.map((one) => frame(one, 0.02, one.decals));
  const scale = Math.min(WIDE / frames.reduce((sum, at) => sum + at.w, 1), HIGH / Math.max(...frames.map((at) => at.h), 1));
  fill(box, found.panels.map((one, n) => {
    const picture = drawing(one, one.decals, found.paint, "", null, 0.02);
    picture.setAttribute("width", frames[n].w * scale);
    picture.setAttribute("height", frames[n].h * scale);
    picture.setAttribute("aria-hidden", "true");
    return picture;
  }));
}

function later(what) {
  let clock = 0;
  return () => {
    clearTimeout(clock);
    clock = setTimeout(what, 250);
  };
}
