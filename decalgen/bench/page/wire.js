// What goes to the server and what comes back. Changes that are not known to be on the disk outlive server and tab.

import { say, unsay } from "./passing.js";

const GONE = "decalgen is not running any more. Start `decalgen bench` again: nothing is lost.";
const MOST_WITH_THE_TAB = 60_000; // what a browser still sends for a tab that is closed meanwhile, by the Fetch standard
const SHELF = "unkept";
const root = document.documentElement;
let awaited = 0; // answers that are on their way
let shelf = JSON.parse(sessionStorage[SHELF] ?? "[]");

/** Asks the server, with a body by POST; a file goes as it is. Gives the status and what it says; null, and tells it, where none is there. */
export async function request(path, body = null) {
  root.dataset.awaited = ++awaited;
  try {
    const file = body instanceof Blob;
    const sent = body && (file ? body : JSON.stringify(body));
    const answer = await fetch(path, body && {
      method: "POST", headers: { "content-type": file ? "application/octet-stream" : "application/json" }, body: sent, keepalive: sent.length < MOST_WITH_THE_TAB,
    });
    const found = await answer.text();
    unsay(GONE);
    return { status: answer.status, found: found.startsWith("{") ? JSON.parse(found) : { message: found } };
  } catch {
    say(GONE, true);
    return null;
  } finally {
    root.dataset.awaited = --awaited;
  }
}

// A file that is dropped stays out: it may be larger than all that a browser keeps for a page, and is dropped once more.
const small = (_, value) => (typeof value === "string" && value.length > MOST_WITH_THE_TAB ? undefined : value);
const store = () => { sessionStorage[SHELF] = JSON.stringify(shelf, small); };

/** Notes a change of a job before it is sent. */
export function shelve(job, path, body) {
  const one = { job, path, body, run: "", version: 0 };
  shelf.push(one);
  store();
  return one;
}

/** Notes which version a change made, of which run. */
export function made(one, found) {
  one.run = found.run;
  one.version = found.version;
  store();
}

/** Forgets a change: it was refused, or made in another way. */
export function forget(one) {
  shelf = shelf.filter((other) => other !== one);
  store();
}

/** Notes that a change was made elsewhere too: it waits for a choice. */
export function clashed(one, found) {
  one.clash = found;
  store();
}

/** Forgets what is on the disk by now. */
export function kept(run, version) {
  const left = shelf.filter((one) => one.clash || one.run !== run || one.version > version);
  if (left.length === shelf.length) return;
  shelf = left;
  store();
}

/** The first change of a job that waits for a choice. */
export const clashedChange = (job) => shelf.find((one) => one.clash && one.job === job);

/** The changes of a job that no answer told of, or that another run of the server took into its end. */
export const lostChanges = (job, run) => shelf.filter((one) => one.job === job && !one.clash && one.run !== run);
