// The colours of one's own drawings, each with the ink of the job that it is printed in.

import { make } from "./dom.js";

/** A small table a drawing of the chosen decal. `send(body)`: hands a choice to the server. */
export function drawingInks(screen, send) {
  return (screen.drawings ?? []).map((one) => [
    make("h2", {}, `Colours of ${one.file}`),
    make("table", { class: "drawing-inks" },
      make("thead", {}, make("tr", {}, make("th", { scope: "col" }, "Colour"), make("th", { scope: "col" }, "Printed in"), make("th", { scope: "col" }, "Apart, dE"))),
      make("tbody", {}, one.rows.map((row) => make("tr", {},
        make("td", {}, swatch(row.colour), row.colour),
        make("td", {}, row.shade && swatch(row.shade), make("select", { "data-key": `ink of ${one.number} ${row.colour}`, "aria-label": `Ink of ${row.colour}`, title: "The ink of the job that this colour of the drawing is printed in.", onchange: (event) => send({ decal: screen.decal, number: one.number, colour: row.colour, ink: event.target.value }) },
          one.inks.map((ink) => make("option", { value: ink, selected: ink === row.ink }, ink)),
          row.new && make("option", { value: "" }, "A new ink of this colour"))),
        make("td", {}, row.off)))))]);
}

function swatch(colour) {
  return make("svg", { class: "swatch", viewBox: "0 0 10 10", "aria-hidden": "true" }, make("rect", { width: 10, height: 10, fill: colour }));
}
