// Scripts and styles that are read once they are needed. A browser remembers that one could not be read, as where the server
// had ended: it is asked for by another address then.

import { make } from "./dom.js";

const failed = new Map(); // how often one could not be read, by what reads it
const styled = {};

/** Reads a script. `how(again)`: imports it, with that after its name. */
export async function script(how) {
  const times = failed.get(how) ?? 0;
  try {
    return await how(times ? `?${times}` : "");
  } catch (error) {
    failed.set(how, times + 1);
    throw error;
  }
}

/** Reads a file of styles, once. */
export const styles = (name) => styled[name] ??= new Promise((done, fail) => {
  const link = make("link", { rel: "stylesheet", href: `/app/${name}`, onload: done, onerror: () => {
    link.remove();
    delete styled[name];
    fail(new Error(name));
  } });
  document.head.append(link);
});
