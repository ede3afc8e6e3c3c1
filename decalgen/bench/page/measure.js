// Measure: one reading is asked at a time; Enter goes on, ↑ back, ? leaves it open. A caliper with a cable types too.

import { adding, managing } from "./panels.js";
import { fill, make, path } from "./dom.js";

const capital = (word) => word[0].toUpperCase() + word.slice(1);
const same = (one, other) => JSON.stringify(one) === JSON.stringify(other);

export function show(root, screen, page) {
  const slots = screen.panels.flatMap((panel) => panel.slots.map((slot) => ({ ...slot, panel })));
  if (screen.adding) {
    fill(root, adding(screen, page));
    return;
  }
  if (!slots.length) {
    fill(root, make("p", {}, "There is no panel with readings in this file."), managing(screen, page));
    return;
  }
  const wanted = sessionStorage.asking && JSON.parse(sessionStorage.asking);
  let number = slots.findIndex((one) => same(one.at, wanted));
  if (number < 0) number = Math.max(0, slots.findIndex((one) => same(one.at, screen.ask)));
  // What is asked stays so until it is answered, also while the answer is shown as kept.
  sessionStorage.asking = JSON.stringify(slots[number].at);
  const left = make("div", {});
  fill(root, make("div", { class: "spread" }, left, make("aside", { class: "side" }, make("h2", {}, "The readings"), table(screen, slots[number], (slot) => turn(slots.indexOf(slots.find((one) => same(one.at, slot.at))))), managing(screen, page))));

  function turn(to) {
    const next = slots[(to + slots.length) % slots.length];
    sessionStorage.asking = JSON.stringify(next.at);
    show(root, screen, page);
    root.querySelector(".boxes input")?.focus();
  }

  const slot = slots[number];
  const panel = slot.panel;
  const wrong = make("p", { class: "wrong", id: "wrong", role: "alert" });
  const readings = [...slot.readings, "", "", ""].slice(0, Math.max(3, slot.readings.length));
  const boxes = readings.map((text, n) => {
    const box = make("input", {
      value: text, "data-was": text, "data-key": `reading ${n}`, inputmode: "decimal", autocomplete: "off", spellcheck: "false",
      "aria-describedby": "wrong about",
    });
    return make("label", {}, make("span", {}, n ? `again, ${["", "2nd", "3rd"][n] ?? `${n + 1}th`}` : `${slot.unit}`), box);
  });
  const inputs = boxes.map((one) => one.querySelector("input"));

  async function keep(step) {
    const typed = inputs.map((one) => one.value.trim()).filter(Boolean).join("  ");
    const before = slot.readings.filter(Boolean).join("  ");
    if (typed !== before && typed) {
      const failed = await page.ask("/edit", {
        label: `${slot.name} of ${panel.name}`, edits: [{ do: "reading", at: slot.at, to: typed, was: slot.raw }],
      });
      if (failed) {
        wrong.textContent = failed.fix ? `${failed.message}: ${failed.fix}` : failed.message;
        inputs.forEach((one) => one.setAttribute("aria-invalid", "true"));
        return;
      }
    }
    sessionStorage.asking = JSON.stringify(slots[(number + step + slots.length) % slots.length].at);
    await page.go({});
    document.querySelector(".boxes input")?.focus();
  }

  const form = make("form", {
    class: "boxes", onsubmit: (event) => { event.preventDefault(); keep(1); },
    onkeydown: (event) => {
      if (event.key === "ArrowUp") { event.preventDefault(); turn(number - 1); }
      if (event.key === "ArrowDown") { event.preventDefault(); turn(number + 1); }
      if (event.key === "?" && !event.target.value) { event.preventDefault(); turn(number + 1); }
    },
  }, boxes, make("button", { class: "main", "data-key": "keep" }, "Keep, and on"));

  fill(left,
    picture(panel, slot),
    make("h2", { class: "question" }, slot.letter ? make("span", { class: "ring" }, slot.letter) : null, make("b", {}, capital(slot.name)), slot.of ? ` of the ${slot.of}, on the ${panel.name}` : ` of the ${panel.name}`),
    make("p", { class: "quiet", id: "about" }, slot.about),
    form, wrong,
    panel.sizes?.length ? make("p", {}, `The panel ${panel.name}: `, panel.sizes.join(", "), ".") : null,
    (panel.doubts ?? []).map((doubt) => make("p", { class: "warning" }, doubt)),
    make("p", { class: "keys" }, make("kbd", {}, "Enter"), "keep, and on", make("kbd", {}, "↑"), "back", make("kbd", {}, "?"), "leave it open"));
}

/** The drawing of what is asked: its arrows in the accent, those of the other readings quiet. */
function picture(panel, slot) {
  const shown = panel.drawings.find((one) => one.letters.includes(slot.letter)) ?? panel.drawings[0];
  if (!shown) return null;
  const [x0, y0, x1, y1] = shown.box;
  const draw = (items, more) => make("g", { class: more, transform: "scale(1,-1)" }, items.map((one) => path(one.d, { class: one.kind, "fill-rule": "evenodd" })));
  const others = Object.entries(shown.lit).filter(([letter]) => letter !== slot.letter).map(([, items]) => draw(items, "others"));
  return make("div", { class: "drawing reading" }, make("svg", {
    viewBox: `${x0} ${-y1} ${x1 - x0} ${y1 - y0}`, role: "img", "aria-label": `How to measure ${slot.letter}: ${slot.name}. ${slot.about}`,
  }, draw(shown.base, "base"), others, draw(shown.lit[slot.letter] ?? [], "lit")));
}

function table(screen, asked, pick) {
  const body = make("tbody", {});
  for (const panel of screen.panels) {
    body.append(make("tr", { class: "panel" }, make("th", { colspan: 2, scope: "rowgroup" }, panel.name)));
    for (const slot of panel.slots) {
      const now = same(slot.at, asked?.at);
      body.append(make("tr", {}, make("td", { colspan: 2 },
        make("button", { class: `row${slot.open ? " todo" : ""}`, "aria-current": now && "true", onclick: () => pick(slot) },
          make("span", {}, make("em", {}, slot.letter), slot.of ? `${slot.of}: ${slot.name}` : slot.name), make("i", {}, slot.open ? "? to measure" : slot.shown)))));
    }
  }
  return make("table", {}, body);
}
