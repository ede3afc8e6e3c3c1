// The next finding, from whichever screen.

import { showIt } from "./places.js";
import { say } from "./passing.js";
import { request } from "./wire.js";

/** Goes to where the next finding is, after the one that was shown last. `view`: what is looked at, and the tab. */
export async function showNext(view, go) {
  const answer = await request(`/state?${new URLSearchParams({ ...view, screen: "check" })}`);
  if (answer?.status !== 200 || !answer.found.screen.findings) return null;
  const { findings, opening } = answer.found.screen;
  const all = findings.filter((one) => one.decal || one.ask);
  const called = (one) => `${one.subject}: ${one.message}`;
  if (!all.length) return findings.length ? go({ screen: "check" }) : say(opening);
  const number = (all.findIndex((one) => called(one) === sessionStorage.finding) + 1) % all.length;
  sessionStorage.finding = called(all[number]);
  await showIt(all[number], { go, version: answer.found.version });
  return say(`Finding ${number + 1} of ${all.length}${all[number].past ? ", of before the last change" : ""}`);
}
