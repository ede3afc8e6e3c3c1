// Measure: one reading is asked at a time; Enter goes on, ↑ back, ? leaves it open. A caliper with a data cable types the
// next reading before the server has answered: so the next box is there at once, and what was typed is sent meanwhile.

import { capital, fill, make, path, reason } from "./dom.js";
import { draft as typedBefore, drop, dropped, note } from "./drafts.js";
import { script } from "./loading.js";
import { marked, told as noted } from "./places.js";
import { clashedChange } from "./wire.js";

const REST_MS = 600; // so long after the last key one is led back to what was refused: never in the midst of a reading
const SEVERAL = "several"; // Enter goes on to the next box of the same reading
const LIVE = (again) => import(`./live.js${again}`);
const TYPING = "typing";
const SENT = "sent";
const REFUSED = "refused";
const drafts = new Map(); // what is typed and not kept yet, by job and reading: { boxes, state, words, clash, slot }
const offered = new Set(); // the jobs whose readings that were typed before the page was loaded are offered
const onWay = new Map(); // how many changes of a reading are sent and not answered yet, by the same
let now = null; // what is shown: { root, screen, page, slot }
let resting = 0;
const scripts = {}; // what is beside the readings is drawn by scripts that are read once the rest is there

export const KEYS = [["Enter", "keep, and on"], ["+", "another reading"], ["↑", "back"], ["?", "leave it open"]]; // in the boxes of a reading
const same = (one, other) => JSON.stringify(one) === JSON.stringify(other);
const draftOf = (page, slot) => JSON.stringify([page.view.job, slot.at]);
const placeOf = (draft) => `reading ${JSON.stringify(JSON.parse(draft)[1])}`;
const jobOf = (draft) => JSON.parse(draft)[0];
const joined = (boxes) => boxes.map((one) => one.trim()).filter(Boolean).join("  ");

/** Holds what is typed of a reading, also beyond the tab. */
function hold(draft, one) {
  drafts.set(draft, one);
  note(placeOf(draft), JSON.stringify({ boxes: one.boxes, by: one.by }), jobOf(draft));
}

function letGo(draft) {
  drafts.delete(draft);
  drop(placeOf(draft), jobOf(draft));
}

/** What was typed in a tab that was closed or loaded anew, and not entered. Gives the first reading of it. */
function offer(slots, page) {
  if (offered.has(page.view.job)) return null;
  offered.add(page.view.job);
  for (const slot of slots) {
    const draft = draftOf(page, slot);
    const { boxes, by } = JSON.parse(typedBefore(placeOf(draft)) ?? "{}");
    if (boxes && (joined(boxes) !== joined(slot.readings) || by !== slot.by)) drafts.set(draft, { boxes, by, state: TYPING, slot, before: true });
  }
  return slots.find((slot) => drafts.get(draftOf(page, slot))?.before)?.at;
}

// Entered in another tab, it is offered no more.
dropped((job, place) => {
  const draft = JSON.stringify([job, JSON.parse(place.match(/^reading (.*)/)?.[1] ?? "0")]);
  if (!drafts.get(draft)?.before) return;
  drafts.delete(draft);
  if (now?.draft === draft && now.root.isConnected) show(now.root, now.screen, now.page);
});

export function show(root, screen, page) {
  now = null;
  const slots = screen.panels.flatMap((panel) => panel.slots.map((slot) => whole(slot, panel, screen.tools)));
  if (screen.adding) {
    fill(root, later("panels", (found) => found.adding(screen, page)));
    return;
  }
  if (!slots.length) {
    fill(root, make("p", {}, "There is no panel with readings in this file."), beside(screen, page), managing(screen, page), fromScan(page));
    return;
  }
  // What was refused of a panel that is gone is told no more.
  for (const [key, one] of drafts) if (one.state !== SENT && JSON.parse(key)[0] === page.view.job && !slots.some((slot) => same(slot.at, one.slot.at))) letGo(key);
  const before = offer(slots, page);
  const wanted = sessionStorage.asking ? JSON.parse(sessionStorage.asking) : before;
  let number = slots.findIndex((one) => same(one.at, wanted));
  if (number < 0) number = Math.max(0, slots.findIndex((one) => same(one.at, screen.ask)));
  // What is asked stays so until it is answered, also while the answer is shown as kept.
  sessionStorage.asking = JSON.stringify(slots[number].at);
  const left = make("div", {});
  fill(root, make("div", { class: "spread" }, left, make("aside", { class: "side" }, make("h2", {}, "The readings"), table(screen, slots[number], (slot) => turn(slots.indexOf(slots.find((one) => same(one.at, slot.at))), true), page), beside(screen, page), managing(screen, page, slots[number].panel.name), card(screen, page), fromScan(page))));

  /** Asks another reading. The arrows leave this one as the file has it; `hold`: what was typed waits in its box. */
  function turn(to, hold = false) {
    const next = slots[(to + slots.length) % slots.length];
    const left = drafts.get(draft);
    if (hold && left?.state === TYPING && joined(left.boxes) && joined(left.boxes) !== joined(slot.readings)) left.before = "left";
    else if (left?.state !== SENT) letGo(draft);
    ask(next.at, root, screen, page);
  }

  const slot = slots[number];
  const panel = slot.panel;
  const draft = draftOf(page, slot);
  now = { root, screen, page, draft };
  const settled = [...drafts].filter(([, one]) => one.clash && !clashedChange(page.view.job));
  settled.forEach(([key]) => letGo(key));
  const typed = drafts.get(draft);
  const refused = typed?.state === REFUSED;
  const wrong = make("p", { class: "wrong", id: "wrong", role: "alert" }, refused ? typed.words : null);
  const by = instrument(slot, typed?.by);
  const readings = [...slot.readings, "", "", ""].slice(0, Math.max(3, slot.readings.length));
  const boxes = readings.map((text, n) => {
    const box = make("input", {
      value: typed?.boxes[n] ?? text, "data-was": text, "data-key": `reading ${n}`, inputmode: "decimal", autocomplete: "off", spellcheck: "false",
      "aria-describedby": "wrong about", "aria-invalid": refused && "true",
    });
    return make("label", {}, make("span", {}, n ? `again, ${["", "2nd", "3rd"][n] ?? `${n + 1}th`}` : `${slot.unit}`), box);
  });
  const inputs = boxes.map((one) => one.querySelector("input"));
  const values = () => inputs.map((one) => one.value);
  const earlier = typed?.before && make("p", { class: "quiet", id: "earlier" }, `You typed this ${typed.before === "left" ? "and went on without Enter" : "before the page was closed"}: it is not in the file yet. Enter keeps it.`);
  const live = make("p", { class: "live", role: "status" });
  const sizes = make("p", { hidden: !panel.sizes?.length }, `The panel ${panel.name}: `, (panel.sizes ?? []).join(", "), ".");

  function keep() {
    const text = joined(values());
    if (text && (text !== joined(slot.readings) || by.value !== slot.by)) send({ boxes: values(), by: by.value, slot }, page);
    else if (drafts.get(draft)?.state !== SENT) letGo(draft);
    ask(slots[(number + 1) % slots.length].at, root, screen, page);
  }

  const form = make("form", {
    class: "boxes", onsubmit: (event) => { event.preventDefault(); keep(); },
    oninput: (event) => {
      if (event.target === by) localStorage[remembered(slot)] = by.value;
      else {
        wrong.replaceChildren();
        inputs.forEach((one) => one.removeAttribute("aria-invalid"));
        // What is typed now is a new reading, taken with what was chosen last.
        if (!drafts.has(draft) && !slot.by) by.value = lastOf(slot) ?? "";
      }
      hold(draft, { boxes: values(), by: by.value, state: TYPING, slot });
      earlier?.remove();
      look(inputs.indexOf(event.target));
    },
    onkeydown: (event) => {
      rest();
      if (event.target === by) return;
      if (event.key === "ArrowUp") { event.preventDefault(); turn(number - 1); }
      if (event.key === "ArrowDown") { event.preventDefault(); turn(number + 1); }
      const more = inputs[inputs.indexOf(event.target) + 1];
      if (more && event.target.value.trim() && (event.key === "+" || (event.key === "Enter" && localStorage.readings === SEVERAL))) {
        event.preventDefault();
        more.focus();
        more.select();
      }
      if (event.key === "?" && !event.target.value) { event.preventDefault(); turn(number + 1); }
    },
  }, boxes, make("div", { class: "with" },
    make("label", {}, make("span", {}, "Measured with"), by), make("button", { class: "main", "data-key": "keep" }, "Keep, and on")));

  /** Says below the boxes what the readings make, while they are typed. `writing`: the number of the box. */
  async function look(writing) {
    const { watch } = await script(LIVE).catch(() => ({})); // not there: the server has ended
    if (!watch) return;
    const asked = { at: slot.at, to: values(), by: by.value, writing: writing < 0 ? null : writing, view: { job: page.view.job } };
    watch(live, joined(values()) && asked, page.request, (found) => {
      if (found.sizes.length) fill(sizes, `The panel ${panel.name} would be: `, found.sizes.join(", "), ".");
      sizes.hidden = !(found.sizes.length || panel.sizes?.length);
    });
  }

  fill(left,
    noted(marked(page, "", slot.at)),
    picture(panel, slot),
    make("h2", { class: "question" }, slot.letter ? make("span", { class: "ring" }, slot.letter) : null, make("b", {}, capital(slot.name)), slot.of ? ` of the ${slot.of}, on the ${panel.name}` : ` of the ${panel.name}`),
    make("p", { class: "quiet", id: "about" }, slot.about),
    form, wrong, earlier, live, others(draft, page),
    sizes,
    (panel.doubts ?? []).map((doubt) => make("p", { class: "warning" }, doubt)),
    several(),
    make("p", { class: "keys" }, KEYS.map(([key, words]) => [make("kbd", {}, key), words])));
}

/** The way to what is read from a scan. */
const fromScan = (page) => make("p", {}, make("button", { "data-key": "from a scan", title: "What is left of an original, or a panel traced on tape, is read on Originals.", onclick: () => page.go({ screen: "originals" }) }, "From a scan ..."));

/** Asks a reading, in the place of the one that is shown; what is typed next takes the place of what is there. */
function ask(at, root, screen, page) {
  sessionStorage.asking = JSON.stringify(at);
  show(root, screen, page);
  const first = root.querySelector(".boxes input");
  first?.focus();
  first?.select();
}

/** Sends what was typed, behind what was sent before it. Refused, it stays as it was typed, and one is led back to it. */
async function send(typed, page) {
  const { slot } = typed;
  const key = draftOf(page, slot);
  const again = onWay.get(key) > 0;
  onWay.set(key, (onWay.get(key) ?? 0) + 1);
  const mine = { ...typed, state: SENT };
  hold(key, mine);
  // Typed twice before the first was answered: what stands there is then what was sent first.
  const was = () => (again && now ? findSlot(now.screen, slot.at)?.raw : undefined) ?? slot.raw;
  const failed = await page.ask("/edit", () => ({
    label: `${slot.name} of ${slot.panel.name}`, edits: [{ do: "reading", at: slot.at, to: typed.boxes, by: typed.by, was: was() }],
  }), null, () => { if (drafts.get(key) === mine) letGo(key); });
  onWay.set(key, onWay.get(key) - 1);
  if (!failed || drafts.get(key) !== mine) return;
  Object.assign(mine, { state: REFUSED, words: reason(failed), clash: Boolean(clashedChange(page.view.job)) });
  if (now?.draft === key) {
    show(now.root, now.screen, now.page);
    now.root.querySelector(".boxes input")?.focus();
  } else if (now?.root.isConnected) rest(true);
  else {
    sessionStorage.asking = JSON.stringify(slot.at);
    page.say(`${capital(slot.name)} of the ${slot.panel.name}: ${reason(failed)}`);
  }
}

/** A reading with all that is only sent where it is not the usual. */
function whole(slot, panel, tools) {
  const kind = slot.kind ?? "length";
  const usual = kind === "angle" ? "protractor" : "caliper";
  const known = tools[kind] ?? tools.length;
  return { by: "", else: usual, ...slot, panel, kind, tools: !slot.by || known.includes(slot.by) ? known : [...known, slot.by] };
}

/** Where the choice of instrument for the next reading of that kind is remembered. */
const remembered = (slot) => `measured with, ${slot.kind}`;

const lastOf = (slot) => slot.tools.find((one) => one === localStorage[remembered(slot)]);

/** The instrument that a reading was taken with; of one that is still to be taken, the one chosen last. */
function instrument(slot, typed) {
  const chosen = typed ?? (slot.open ? lastOf(slot) : slot.by) ?? "";
  const nothing = `not said: counts as ${/^[aeiou]/.test(slot.else) ? "an" : "a"} ${slot.else}`;
  return make("select", { "data-key": "measured with", title: "Its uncertainty is the instrument's, unless you type one after ±. Kept with the reading." },
    ["", ...slot.tools].map((one) => make("option", { value: one, selected: one === chosen }, one || nothing)));
}

const findSlot = (screen, at) => screen.panels.flatMap((panel) => panel.slots).find((one) => same(one.at, at));

/** The first reading that was refused and is not shown, by its key. */
const refusedBeside = (draft) => [...drafts].find(([key, one]) => one.state === REFUSED && key !== draft && JSON.parse(key)[0] === JSON.parse(draft)[0]);

/** Says that another reading was refused, with the way back to it. */
function others(draft, page) {
  const [, one] = refusedBeside(draft) ?? [];
  if (!one) return null;
  return make("p", { class: "wrong", id: "refused", role: "alert" }, make("b", {}, `${capital(one.slot.name)} of the ${one.slot.panel.name}: `), one.words, " ",
    make("button", { type: "button", "data-key": "to refused", onclick: () => ask(one.slot.at, now.root, now.screen, page) }, "Go back to it"));
}

/** Waits until no key was pressed for a while, then leads back to what was refused. `tell`: says so at once. */
function rest(tell = false) {
  clearTimeout(resting);
  if (!now || !refusedBeside(now.draft)) return;
  if (tell) {
    document.getElementById("refused")?.remove();
    now.root.querySelector(".boxes").after(others(now.draft, now.page));
  }
  resting = setTimeout(() => {
    const at = document.activeElement;
    if (!now?.root.isConnected || !(at === document.body || at?.closest(".boxes"))) return;
    const [, one] = refusedBeside(now.draft) ?? [];
    // A reading that is half typed, or one that was refused itself, comes first.
    if (one && !drafts.has(now.draft)) ask(one.slot.at, now.root, now.screen, now.page);
  }, REST_MS);
}

/** Whether a caliper that types Enter fills all boxes of a reading, or one. */
function several() {
  const tick = make("input", {
    type: "checkbox", checked: localStorage.readings === SEVERAL, "data-key": "several readings", title: "For a caliper with a data cable: Enter goes to the next box first, and in an empty box or the last one on to the next size.",
    onchange: () => { localStorage.readings = tick.checked ? SEVERAL : ""; },
  });
  return make("label", { class: "tick" }, tick, "Several readings of each: Enter goes to the next box");
}

/** The drawing of what is asked: its arrows in the accent, those of the other readings quiet. */
function picture(panel, slot) {
  const shown = panel.drawings.find((one) => one.letters.includes(slot.letter)) ?? panel.drawings[0];
  if (!shown) return null;
  const [x0, y0, x1, y1] = shown.box;
  const draw = (items, more) => make("g", { class: more, transform: "scale(1,-1)" }, items.map((one) => path(one.d, { class: one.kind, "fill-rule": "evenodd" })));
  const others = Object.entries(shown.lit).filter(([letter]) => letter !== slot.letter).map(([, items]) => draw(items, "others"));
  return make("div", { class: "reading" }, make("svg", {
    viewBox: `${x0} ${-y1} ${x1 - x0} ${y1 - y0}`, role: "img", "aria-label": `How to measure ${slot.letter}: ${slot.name}. ${slot.about}`,
  }, draw(shown.base, "base"), others, draw(shown.lit[slot.letter] ?? [], "lit")));
}

const READ = { panels: (again) => import(`./panels.js${again}`), card: (again) => import(`./measuring_card.js${again}`) };

/** What such a script draws; an empty place until it is there. */
function later(name, draw) {
  if (scripts[name]) return draw(scripts[name]);
  const place = make("div", {});
  script(READ[name]).then((found) => { scripts[name] = found; fill(place, draw(found)); }, () => null);
  return place;
}

const managing = (screen, page, asked) => later("panels", (found) => found.managing(screen, page, asked));
const card = (screen, page) => later("card", (found) => found.card(screen, page));

/** What is open in files that the job includes: told with its line, and typed beside it where that can be written. */
function beside(screen, page) {
  if (!screen.elsewhere.length) return null;
  return make("section", { "aria-label": "Open in other files", "data-key": "elsewhere" }, make("h2", {}, "Open in other files"),
    screen.elsewhere.map((one) => make("div", { class: "fileline" }, make("b", { class: "warning" }, "? "), make("b", {}, one.name), `: ${one.said}.`, one.file ? later("panels", (found) => found.readingOf(one, page)) : " Change it there, in an editor.")));
}

function table(screen, asked, pick, page) {
  const shown = (slot) => {
    const one = drafts.get(draftOf(page, slot));
    return one?.state === SENT ? joined(one.boxes) : one?.state === REFUSED ? "refused" : one?.before ? "typed, not kept" : slot.open ? "? to measure" : slot.shown;
  };

  const body = make("tbody", {});
  for (const panel of screen.panels) {
    body.append(make("tr", { class: "panel" }, make("th", { colspan: 2, scope: "rowgroup" }, panel.name)));
    for (const slot of panel.slots) {
      const now = same(slot.at, asked?.at);
      body.append(make("tr", {}, make("td", { colspan: 2 },
        make("button", { class: `row${slot.open ? " todo" : ""}`, "aria-current": now && "true", onclick: () => pick(slot) },
          make("span", {}, make("em", {}, slot.letter), slot.of ? `${slot.of}: ${slot.name}` : slot.name), make("i", {}, shown(slot))))));
    }
  }
  return make("table", {}, body);
}
