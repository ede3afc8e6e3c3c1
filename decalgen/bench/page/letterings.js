// Lettering that is drawn to the measures of an original: their blanks, how near the drawing came, and the other faces.

import { make, path } from "./dom.js";
import { onTurn } from "./turning.js";

let wanted = ""; // the lettering whose faces are looked at
let seen = ""; // that whose faces were shown last

onTurn(() => { wanted = ""; });

/** The letterings of a decal. `put(blank, send)`: a blank; `page.ask`. */
export function letterings(screen, page, put, again) {
  if (!screen.letterings?.length) return null;
  return make("section", { "aria-label": "Lettering" }, screen.letterings.map((one) => [
    make("h2", {}, `Lettering ${one.words}`),
    one.measures.length ? [
      make("dl", { class: "rows measured" }, one.measures.map((row) => [
        make("dt", {}, row.blank.label), make("dd", {}, put(row.blank, (blank, to) => page.ask("/do/draw/measure", { at: blank.at, to, was: blank.raw })), row.drawn && make("span", { class: "drawn" }, `${row.drawn}`))])),
      make("p", { class: one.forced.length ? "warning" : "quiet" }, one.said),
      one.forced.map((words) => make("p", { class: "warning" }, words))] : null,
    facesOf(one, screen, page, again)]));
}

function facesOf(one, screen, page, again) {
  const key = `${screen.decal} ${one.number}`;
  const draw = () => page.ask("/do/draw/faces", { decal: screen.decal, number: one.number });
  const ask = async () => {
    wanted = wanted === key ? "" : key;
    seen = "";
    if (wanted && !one.faces) await draw();
    else again();
  };
  const open = wanted === key;
  if (open && one.faces) seen = key;
  else if (open && seen === key) {
    // The words or the faces of the job have changed under them.
    seen = "";
    setTimeout(async () => { if (await draw()) seen = key; });
  }
  return make("div", {},
    make("button", { "aria-expanded": String(open), "data-key": `faces ${one.number}`, onclick: ask }, `${one.face}: see other faces`),
    open && !one.faces && make("p", { class: "quiet", role: "status" }, "Drawing the words in every face ..."),
    open && one.faces && make("div", { class: "faces" }, one.faces.map((face) => choice(face, one, screen, page))));
}

/** One face: the very words in it. */
function choice(face, one, screen, page) {
  const [w, h] = face.box;
  const picture = face.d && make("svg", { viewBox: `0 ${-h} ${w} ${h}`, "aria-hidden": "true" }, make("g", { transform: "scale(1,-1)" }, path(face.d, { class: "sample" })));
  return make("button", {
    "aria-pressed": String(face.face === one.face), disabled: !face.d, "data-key": `face ${face.face}`,
    onclick: () => page.ask("/do/draw/choose", { decal: screen.decal, number: one.number, face: face.face, was: one.face }),
  }, picture, make("b", {}, face.face), face.said && make("span", {}, face.said));
}
