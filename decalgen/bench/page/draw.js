// Draw: the decals on their panels. A decal is moved by hand or by the arrow keys; its sentence has a blank a value.

import { fill, make } from "./dom.js";
import { barLength, drawing, frame } from "./panel.js";

const MM = 1000;

export function show(root, screen, page) {
  if (!screen.strip.length) {
    fill(root, make("p", {}, "Measure a panel first."));
    return;
  }
  const [first, second] = sides(screen, page);
  const large = make("div", { class: "drawing" });
  if (first) large.append(side(first, screen, page));
  const alike = JSON.stringify(first?.fit?.clearances.map((one) => one.figures).sort()) === JSON.stringify(second?.fit?.clearances.map((one) => one.figures).sort());
  const aside = make("aside", { class: "side" },
    second && [make("h2", {}, handed(second.hand, screen.panel)), make("div", { class: "small" }, drawing(second.panel, second.decals, screen.paint, `${second.hand} ${screen.panel}`)), !alike && fit(second)],
    first?.fit && [make("h2", {}, alike && second ? "Clearances, both hands" : "Clearances"), fit(first)],
    screen.lines?.length && [make("h2", {}, "In the file"), make("pre", {}, screen.lines.map((one) => `${one.text}\n`).join(""))]);
  fill(root,
    strip(screen, page),
    make("div", { class: "spread" }, make("div", {}, make("h2", {}, handed(first?.hand, screen.panel)), large, bar(first), sentence(screen, page)), aside));
}

const handed = (hand, panel) => (hand ? `${hand[0].toUpperCase()}${hand.slice(1)} ${panel}` : `${panel[0].toUpperCase()}${panel.slice(1)}`);

/** The hand that is worked on first. */
function sides(screen) {
  const wanted = sessionStorage.hand;
  return [...screen.sides].sort((one, other) => (other.hand === wanted) - (one.hand === wanted));
}

function strip(screen, page) {
  const widest = Math.max(...screen.strip.map((one) => one.box[2] - one.box[0]));
  return make("div", { class: "strip", role: "group", "aria-label": "Panels" }, screen.strip.map((one) => {
    const picture = drawing(one, one.decals, screen.paint, "", null, 0.02);
    const at = frame(one, 0.02);
    picture.setAttribute("width", Math.max(28, (150 * at.w) / widest));
    picture.setAttribute("height", Math.max(20, (150 * at.h) / widest));
    picture.setAttribute("aria-hidden", "true");
    return make("button", { "aria-pressed": String(one.name === screen.panel), "data-key": `panel ${one.name}`, onclick: () => page.go({ panel: one.name, decal: "" }) }, picture, one.name);
  }));
}

/** A side with pieces that can be moved. */
function side(shown, screen, page) {
  const svg = drawing(shown.panel, shown.decals, screen.paint, `${shown.hand} ${screen.panel} with its decals`, (decal, parts) => {
    const box = make("rect", { class: decal.name === screen.decal ? "pick" : "grip", width: decal.size[0], height: decal.size[1] });
    const group = make("g", {
      class: "piece", tabindex: "0", role: "button", "data-key": `piece ${decal.name}`,
      "aria-label": `${decal.name}, ${(decal.at[0] / MM).toFixed(2)} mm from the left and ${(decal.at[1] / MM).toFixed(2)} mm from the foot. Arrow keys move it.`,
      "aria-pressed": String(decal.name === screen.decal),
    }, parts, make("rect", { class: "grip", width: decal.size[0], height: decal.size[1] }), box);
    hold(group, decal, shown.hand, page);
    return group;
  });
  svg.append(measures(shown));
  return svg;
}

/** The distances that place the chosen decal, and its tightest clearance, each with its letter. */
function measures(shown) {
  const group = make("g", { class: "measures", "aria-hidden": "true" });
  const [x0, y0, x1, y1] = shown.panel.box;
  const size = Math.max(x1 - x0, y1 - y0) * 0.02;
  for (const one of shown.fit?.clearances ?? []) {
    if (!one.line.length) continue;
    const [ax, ay, bx, by] = one.line;
    const d = `M${ax} ${-ay}L${bx} ${-by}`;
    const length = Math.hypot(bx - ax, by - ay) || 1;
    // The letter stands on a long line, and beyond the end of a short one, off the decal.
    const along = length > 5 * size ? length / 2 : length + 1.9 * size;
    const [mx, my] = [ax + ((bx - ax) / length) * along, -(ay + ((by - ay) / length) * along)];
    group.append(make("path", { class: "casing", d }), make("path", { class: one.good ? "measure" : "measure bad", d }),
      make("circle", { cx: mx, cy: my, r: size * 1.15, class: "bubble" }),
      make("text", { x: mx, y: my + size * 0.5, "font-size": size * 1.6, "text-anchor": "middle" }, one.letter));
  }
  return group;
}

function hold(group, decal, hand, page) {
  const move = (dx, dy) => {
    Object.assign(page.view, { panel: decal.panel, decal: decal.name });
    return page.ask("/do/draw/move", { decal: decal.name, hand, dx, dy, key: `move ${decal.name}` });
  };
  group.addEventListener("keydown", (event) => {
    const step = event.shiftKey ? 0.01 : 0.1;
    const way = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] }[event.key];
    if (way) {
      event.preventDefault();
      move(way[0] * step, way[1] * step);
    } else if (event.key === "Enter" || event.key === " ") {
      event.preventDefault();
      page.go({ decal: decal.name, panel: decal.panel });
    }
  });
  group.addEventListener("pointerdown", (event) => {
    const matrix = group.parentNode.getScreenCTM().inverse();
    const from = new DOMPoint(event.clientX, event.clientY).matrixTransform(matrix);
    let [dx, dy, asked] = [0, 0, 0];
    group.setPointerCapture(event.pointerId);
    group.classList.add("held");
    const still = () => group.setAttribute("transform", `translate(${decal.at[0] + dx} ${decal.at[1] + dy})`);
    const moving = (now) => {
      const at = new DOMPoint(now.clientX, now.clientY).matrixTransform(matrix);
      [dx, dy] = [at.x - from.x, at.y - from.y];
      asked ||= requestAnimationFrame(() => { asked = 0; still(); });
    };
    const done = (keep) => {
      group.removeEventListener("pointermove", moving);
      removeEventListener("keydown", escape);
      group.classList.remove("held");
      cancelAnimationFrame(asked);
      if (keep && Math.hypot(dx, dy) > 20) move(dx / MM, dy / MM).then((failed) => { if (failed) { [dx, dy] = [0, 0]; still(); } });
      else {
        [dx, dy] = [0, 0];
        still();
        if (keep) page.go({ decal: decal.name, panel: decal.panel });
      }
    };
    const escape = (key) => { if (key.key === "Escape") done(false); };
    group.addEventListener("pointermove", moving);
    group.addEventListener("pointerup", () => done(true), { once: true });
    group.addEventListener("pointercancel", () => done(false), { once: true });
    addEventListener("keydown", escape);
  });
}

/** What the drawing says in words: its scale, and the keys. */
function bar(shown) {
  if (!shown) return null;
  return make("p", { class: "keys quiet" }, `The bar is ${barLength(shown.panel)} mm.`, make("kbd", {}, "Tab"), "to a decal", make("kbd", {}, "← →"), "move it 0.1 mm", make("kbd", {}, "Shift"), "0.01 mm");
}

function fit(shown) {
  if (!shown.fit) return null;
  return make("div", { class: "fit" },
    make("p", { class: shown.fit.good ? "good" : "warning" }, shown.fit.verdict),
    make("ul", {}, shown.fit.clearances.map((one) => make("li", { class: one.good ? "" : "warning" }, make("span", {}, make("b", {}, one.letter), one.letter ? " " : "", one.label), make("span", {}, one.figures)))));
}

function sentence(screen, page) {
  if (!screen.decal) return make("p", {}, "No decal is on this panel yet.");
  const wrong = make("p", { class: "wrong", role: "alert" });
  const put = (one) => (typeof one === "string" ? one : blank(one, screen, page, wrong));
  const rows = (blanks) => make("dl", { class: "rows" }, blanks.map((one) => [make("dt", {}, one.label), make("dd", {}, put(one))]));
  return make("div", {},
    make("p", { class: "sentence" }, screen.sentence.map(put)), wrong,
    screen.values.length ? [make("h2", {}, "What the layout is given"), rows(screen.values)] : null,
    screen.shapes.length ? [make("h2", {}, "Painted in this order"), make("ol", { class: "shapes" }, screen.shapes.map((shape) =>
      make("li", {}, make("b", {}, shape.shape), " ", shape.blanks.map((one) => [make("span", { class: "quiet" }, ` ${one.label} `), put(one)]))))] : null,
    screen.more.length ? make("details", {}, make("summary", {}, "Say more of it"), rows(screen.more)) : null);
}

/** A value that can be filled in: a button until it is, then a field. */
function blank(one, screen, page, wrong) {
  const shown = one.shown || one.default || "...";
  const aside = one.shown && one.default && one.default !== one.shown ? make("em", {}, one.default) : null;
  const button = make("button", {
    class: `blank${one.shown ? "" : " unset"}`, title: one.help, "data-key": `blank ${one.at.join(" ")}`,
    "aria-label": `${one.label}: ${shown}. Change it.`, onclick: () => ask(),
  }, shown, aside);
  function ask() {
    const field = one.choices.length
      ? make("select", { "aria-label": one.label }, [...new Set([one.shown, ...one.choices])].filter(Boolean).map((word) => make("option", { selected: word === one.shown }, word)))
      : make("input", { value: one.shown, "data-was": one.shown, "aria-label": one.label, autocomplete: "off", spellcheck: "false" });
    if (one.choices.length && !one.shown) field.prepend(make("option", { value: "", selected: true }, one.default || "..."));
    const holder = make("span", { class: "fill" }, field);
    const back = () => { holder.replaceWith(button); button.focus(); };
    const keep = async () => {
      const to = field.value.trim();
      if (to === one.shown) return back();
      wrong.textContent = "";
      const edit = to ? { do: "set", at: one.at, to, was: one.raw } : { do: "remove", at: one.at, was: one.raw };
      const failed = await page.ask("/edit", { label: `${one.label} of ${screen.decal}`, edits: [edit] });
      if (failed) {
        wrong.textContent = failed.fix ? `${failed.message}: ${failed.fix}` : failed.message;
        field.setAttribute("aria-invalid", "true");
        field.focus();
      }
    };
    field.addEventListener("keydown", (event) => {
      if (event.key === "Enter") { event.preventDefault(); keep(); }
      if (event.key === "Escape") { event.preventDefault(); back(); }
    });
    if (one.choices.length) field.addEventListener("change", keep);
    button.replaceWith(holder);
    field.focus();
    field.select?.();
  }
  return button;
}
