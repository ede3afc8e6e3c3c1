// What is said of a reading while it is typed: once the keys rest, by the rules that judge it on Enter. Nothing is kept.

import { capital, fill, make } from "./dom.js";

const REST_MS = 350; // so long after the last key it is asked
let waiting = 0;
let turn = 0; // answers may overtake each other, and come after the box has gone

/**
 * Has the readings in `asked` judged and says it in `line`; nothing to ask: says nothing. `then` is given what was found.
 */
export function watch(line, asked, request, then) {
  const mine = ++turn;
  clearTimeout(waiting);
  if (!asked) {
    fill(line);
    return;
  }
  waiting = setTimeout(async () => {
    const answer = await request("/ask/measure/reading", asked);
    if (mine !== turn || !line.isConnected || answer?.status !== 200) return;
    const { found } = answer;
    fill(line,
      found.made ? ["So far ", make("b", {}, found.made), "."] : null,
      found.wrong ? make("span", { class: "error" }, capital(found.wrong), ".") : null,
      found.doubts.map((one) => make("span", { class: "warning" }, " ", capital(one), ".")));
    line.dataset.of = asked.to.map((one) => one.trim()).filter(Boolean).join("  ");
    then(found);
  }, REST_MS);
}
