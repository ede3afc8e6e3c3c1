// A scan or photo is brought: chosen, or dropped anywhere on a screen, and handed to the server as it is.

import { make } from "./dom.js";

const MOST = 200_000_000; // bytes; the commands read no larger picture
const KINDS = ".png,.jpg,.jpeg,.tif,.tiff";

/**
 * Hands a picture to the server, with what is said of it; `taken` is called once it has it, before that is shown. Gives what
 * was wrong (`unread`: with the file itself); null where nothing was, or no server is there.
 */
export async function bring(page, path, file, said = {}, taken = null) {
  const unread = true;
  if (file.size > MOST) return { message: `'${file.name}' is too large: at most ${MOST / 1e6} MB are read`, fix: "scan only what you need, or save it as PNG or JPEG", unread };
  if (!file.size) return { message: `'${file.name}' is empty`, fix: "scan or copy it again", unread };
  try {
    await file.slice(0, 1).arrayBuffer();
  } catch {
    return { message: `'${file.name}' cannot be read: it was changed, moved or deleted since you chose it`, fix: "choose it again", unread };
  }
  page.say(`Taking in ${file.name} ...`);
  const answer = await page.request(`${path}?${new URLSearchParams({ job: page.view.job, name: file.name, ...said })}`, file);
  page.say("");
  if (answer && answer.status !== 200) return answer.found;
  if (!answer) return null;
  taken?.();
  await page.go({});
  return null;
}

/** Takes a picture that is dropped on an element. */
export function takesPictures(root, take) {
  const files = (event) => event.dataTransfer?.types.includes("Files");
  root.ondragover = (event) => { if (files(event)) { event.preventDefault(); root.classList.add("over"); } };
  root.ondragleave = () => root.classList.remove("over");
  root.ondrop = (event) => {
    root.classList.remove("over");
    if (!files(event)) return;
    event.preventDefault();
    if (event.dataTransfer.files.length) take(event.dataTransfer.files[0]);
  };
}

/** The button that chooses a picture. `label`: what is chosen. */
export function chooser(words, take, { key, label, title, main = false, disabled = false }) {
  const input = make("input", { type: "file", accept: KINDS, hidden: true, "aria-label": label, onchange: () => { if (input.files.length) take(input.files[0]); input.value = ""; } });
  return [input, make("button", { type: "button", class: main ? "main" : "", "data-key": key, title, disabled, onclick: () => input.click() }, words)];
}
