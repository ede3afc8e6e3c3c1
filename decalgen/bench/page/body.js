// On the body: every panel over the paint at one scale; at its real size once the screen is measured.

import { fill, make } from "./dom.js";
import { drawing, frame } from "./panel.js";

const CARD_MM = 85.6; // the long side of an ID-1 card, ISO/IEC 7810
const MM = 1000;
const [LIVERY, GAP] = [288, 32]; // pixels: the least width of a livery, and between two, as its styles say

export function show(root, screen, page) {
  if (!screen.liveries.length) {
    fill(root);
    return;
  }
  const known = screenSize();
  matchMedia(`(resolution: ${devicePixelRatio}dppx)`).addEventListener("change", () => root.isConnected && again(), { once: true });
  const asked = sessionStorage.bodySize ?? "fit";
  const size = asked === "fit" || known ? asked : "fit";
  const hidden = new Set((sessionStorage.bodyHidden ?? "").split(" ").filter(Boolean));
  const again = () => show(root, screen, page);
  const scale = size === "fit" ? fitting(screen, root.clientWidth || 900) : known * (size === "five" ? 5 : 1);
  const choice = (key, words) => make("button", { "aria-pressed": String(size === key), "data-key": `size ${key}`, onclick: () => { sessionStorage.bodySize = key; again(); root.querySelector(`[data-key="size ${key}"]`)?.focus(); } }, words);
  const toggle = (key, words) => make("label", { class: "tick" }, make("input", { type: "checkbox", checked: !hidden.has(key), "data-key": `see ${key}`, title: key === "white" ? "Shows white film and white backing, or only what is printed over it." : `Shows the ${words}, or leaves it out.`, onchange: () => {
    if (hidden.has(key)) hidden.delete(key); else hidden.add(key);
    sessionStorage.bodyHidden = [...hidden].join(" ");
    again();
    root.querySelector(`[data-key="see ${key}"]`)?.focus();
  } }), words);
  fill(root,
    make("div", { class: "tools" },
      choice("fit", "Fit the window"),
      known ? [choice("actual", "Actual size"), choice("five", "5 ×")] : null,
      toggle("paint", "paint"), toggle("film", "film"), toggle("white", "white"), toggle("ink", "ink")),
    ruler(known, again),
    further(screen, page),
    make("div", { class: "liveries" }, screen.liveries.map((livery) => make("section", { class: "livery" },
      screen.liveries.length > 1 ? make("h2", {}, livery.name) : null,
      livery.wrong ? make("p", { class: "wrong" }, livery.wrong) : null,
      make("div", { class: `unfolded ${[...hidden].map((one) => `no-${one}`).join(" ")}` }, livery.panels.map((one) => panel(one, livery, scale, page)))))));
}

/** The variants that are drawn only when they are asked for. */
function further(screen, page) {
  if (!screen.more?.length) return null;
  const turn = (name) => screen.also.includes(name) ? screen.also.filter((one) => one !== name) : [...screen.also, name];
  const show = (names) => page.go({ also: names.join("\n") });
  return make("div", { class: "tools", role: "group", "aria-label": "Further variants" }, make("span", {}, "Further variants:"),
    screen.more.map((name) => make("button", { "data-key": `also ${name}`, "aria-pressed": String(screen.also.includes(name)), onclick: () => show(turn(name)) }, name)),
    screen.also.length < screen.more.length && screen.more.length > 1 ? make("button", { "data-key": "also all", onclick: () => show(screen.more) }, "All of them") : null);
}

/** Pixels to the millimetre at which all panels of a livery fit beside each other. */
function fitting(screen, room) {
  const panels = screen.liveries[0].panels.map((one) => frame(one.panel, 0.02, one.decals).w / MM);
  const widest = Math.max(...panels);
  const columns = Math.max(1, Math.min(screen.liveries.length, Math.floor((room + GAP) / (LIVERY + GAP))));
  return Math.max(2, Math.min(14, (room / columns - 40) / Math.max(widest, Math.min(panels.reduce((a, b) => a + b, 0) / 2, 70))));
}

function panel(one, livery, scale, page) {
  const at = frame(one.panel, 0.02, one.decals);
  const picture = drawing(one.panel, one.decals, livery.paint, `${one.hand} ${one.panel.name}`, null, 0.02);
  picture.setAttribute("width", (at.w / MM) * scale);
  picture.setAttribute("height", (at.h / MM) * scale);
  return make("button", { class: "bodypanel", title: "Go to it", onclick: () => page.go({ screen: "draw", panel: one.panel.name, decal: "", variant: livery.variant ?? "" }) }, picture, `${one.hand} ${one.panel.name}`.trim());
}

/** Pixels to the millimetre; 0 where that is not known, also where browser zoom or screen are others than as it was measured. */
const screenSize = () => (Number(localStorage.pxPerMmAt) === devicePixelRatio && Number(localStorage.pxPerMm)) || 0;

/** How large a millimetre is on this screen: a bank card or a ruler laid on it tells. Kept for this browser. */
function ruler(known, again) {
  const width = known ? known * CARD_MM : 324;
  const bar = make("div", { class: "idcard" });
  const field = make("input", { type: "range", min: 150, max: 900, step: 1, value: Math.round(width), "aria-label": "Width of the card on this screen", title: "Move it until the bar is as wide as a bank card.", oninput: () => { bar.style.width = `${field.value}px`; } });
  bar.style.width = `${Math.round(width)}px`;
  return make("details", {}, make("summary", {}, known ? "Actual size is set for this screen" : "No screen size yet: lay a bank card on the bar"),
    !known && localStorage.pxPerMm ? make("p", { class: "warning" }, "The zoom of the browser, or the screen, is another than when the card was laid on: lay it on again.") : null,
    make("p", { class: "quiet" }, "Move the slider until the bar is as wide as a bank card, 85.6 mm (or as a ruler says)."),
    make("div", { class: "cardroom", tabindex: "0", role: "region", "aria-label": "The bar to lay the card on", "data-key": "card bar" }, bar), field, make("button", { class: "main", onclick: () => { localStorage.pxPerMm = field.value / CARD_MM; localStorage.pxPerMmAt = devicePixelRatio; sessionStorage.bodySize = "actual"; again(); } }, "That is it"));
}
