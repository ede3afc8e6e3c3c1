// The next finding, from whichever screen.

import { showIt } from "./places.js";
import { say } from "./passing.js";
import { request } from "./wire.js";

/** Goes to where the next finding is, after the one that was shown last. `view`: what is looked at, and the tab. */
export async function showNext(view, go) {
  const answer = await request(`/state?${new URLSearchParams({ ...view, screen: "check" })}`);
  if (answer?.status !== 200 || !answer.found.screen.findings) return null;
  const { findings, opening } = answer.found.screen;
  const called = (one) => `${one.subject}: ${one.message}`;
  if (!findings.length) return say(opening);
  const number = (findings.findIndex((one) => called(one) === sessionStorage.finding) + 1) % findings.length;
  sessionStorage.finding = called(findings[number]);
  await showIt(findings[number], { go, version: answer.found.version });
  // What is not ringed where it leads to is told.
  const at = findings[number];
  return say(`Finding ${number + 1} of ${findings.length}${at.past ? ", from before the last change" : ""}${at.go.screen ? `: ${called(at)}` : ""}`);
}
