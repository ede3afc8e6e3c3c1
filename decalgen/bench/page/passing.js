// What is said in passing, in a corner of the page; read out by screen readers.

import { fill } from "./dom.js";

const told = document.getElementById("told");
let silence = 0;

/** Says something for a while; `stay`: until something else is said, or `unsay` with the same words. */
export function say(words, stay = false) {
  fill(told, words);
  clearTimeout(silence);
  if (!stay) silence = setTimeout(() => fill(told), 6000);
}

export function unsay(words) {
  if (told.textContent === words.replaceAll("`", "")) fill(told);
}
