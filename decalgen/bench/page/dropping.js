// A drawing, a picture or a font of one's own: dropped on the screen, or chosen, it is copied beside the job and becomes a decal, or a face.

import { make } from "./dom.js";

const KINDS = ".svg,.dxf,.png,.jpg,.jpeg,.tif,.tiff,.ttf,.otf,.woff2";

/** The button that chooses a file. `send(body)`: hands it to the server. */
export function chooseFile(screen, send) {
  const input = make("input", { type: "file", accept: KINDS, hidden: true, "aria-label": "Drawing, picture or font", onchange: () => { if (input.files.length) read(input.files[0], screen, send); input.value = ""; } });
  return [input, make("button", { "data-key": "add file", title: "A drawing (SVG, DXF) or a picture (PNG, JPEG, TIFF) of yours is copied beside the job and becomes a decal in the middle of this panel; a font (TTF, OTF, WOFF2) becomes a face of the job. It can be dropped on the drawing too.", onclick: () => input.click() }, "Add a drawing, picture or font")];
}

/** Takes files that are dropped on an element. */
export function takesFiles(element, screen, send) {
  const files = (event) => event.dataTransfer?.types.includes("Files");
  element.addEventListener("dragover", (event) => { if (files(event)) event.preventDefault(); });
  element.addEventListener("drop", (event) => {
    if (!files(event)) return;
    event.preventDefault();
    if (event.dataTransfer.files.length) read(event.dataTransfer.files[0], screen, send);
  });
}

function read(file, screen, send) {
  const reader = new FileReader();
  reader.addEventListener("load", () => send({ name: file.name, data: reader.result.slice(reader.result.indexOf(",") + 1), panel: screen.panel }));
  reader.readAsDataURL(file);
}
