// What is said in passing, in a corner of the page; read out by screen readers.

const told = document.getElementById("told");
let silence = 0;

/** Says something for a while; `stay`: until something else is said, or `unsay` with the same words. */
export function say(words, stay = false) {
  told.textContent = words;
  clearTimeout(silence);
  if (!stay) silence = setTimeout(() => (told.textContent = ""), 6000);
}

export function unsay(words) {
  if (told.textContent === words) told.textContent = "";
}
