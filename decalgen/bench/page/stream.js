// What happens on the server. A browser keeps no more than six connections to one server, so one tab holds the stream
// for all of them, and passes on what it hears; when it is closed, the next one does. A tab that is hidden may be put to
// sleep at any time: one that is seen takes the stream over from it. Without streams: ask.

import { catchStrays } from "./astray.js";

const AGAIN_MS = 2000;
const ASK_MS = 1000;
const TICK_MS = 2500; // so often a tab that is seen asks the one that holds the stream whether it is awake
const LATE_MS = 4000; // so long without an answer, it asks the server for itself
const ASLEEP_MS = 9000; // so long, and it takes the stream: time for a machine that is busy
const HELD = "stream"; // the name of the lock

catchStrays(); // here, as this too is read once the first screen is there

/**
 * Listens. `hear`: is told what happens; `ask`: asks the server whether anything did, and gives that, null where none is.
 */
export function listen(hear, ask) {
  let heard = performance.now();
  let before = "";
  let asking = null;

  async function look() {
    const news = await ask();
    const now = JSON.stringify(news);
    if (!news || now === before) return;
    if (before) hear({ ...news, news: true });
    before = now;
  }

  /** Asks again and again, until the stream is there. */
  function keepAsking(every) {
    if (asking) return;
    asking = setInterval(look, every);
    look();
  }

  function stopAsking() {
    clearInterval(asking);
    asking = null;
    before = "";
    look();
  }

  function take(what) {
    heard = performance.now();
    if (what.lost) keepAsking(AGAIN_MS);
    else if (what.open) stopAsking();
    else if (!what.beat) hear(what);
  }

  if (!("EventSource" in window && "BroadcastChannel" in window && navigator.locks)) {
    keepAsking(ASK_MS);
    return;
  }
  const others = new BroadcastChannel(`decalgen-${location.port}`);
  let stream = null; // this tab's, while it holds the lock
  let holder = ""; // who holds it, as far as that was told
  let waiting = null; // ends waiting in line for it
  let leaving = false; // closed, it hands the stream to the next in line
  const pass = (what) => {
    others.postMessage(what);
    take(what);
  };
  const askHolder = () => { if (!stream && !document.hidden) others.postMessage({ awake: true }); };
  const tell = () => others.postMessage({ held: true, by: holder, hidden: document.hidden });
  others.onmessage = ({ data: what }) => {
    if (what.awake) return stream && tell();
    if (!what.held) return take(what);
    heard = performance.now();
    holder = what.by;
    return what.hidden && takeOver();
  };

  /** Asks for the stream: in line, or taking it from whoever holds it; `got`: is told when it is here. */
  function queue(how, got = () => null) {
    let here = false;
    navigator.locks.request(HELD, how, () => {
      here = true;
      got();
      return held();
    }).catch(() => here && lost());
  }

  function wait() {
    waiting = new AbortController();
    queue({ signal: waiting.signal });
  }

  /** Takes the stream from the tab that holds it; where several tabs are seen, one of them does. */
  function takeOver() {
    const from = holder;
    if (stream || document.hidden) return;
    navigator.locks.request("taking", async () => {
      if (stream || (from && from !== await holding())) return;
      waiting.abort();
      await new Promise((got) => queue({ steal: true }, got));
    });
  }

  const holding = async () => (await navigator.locks.query()).held.find((one) => one.name === HELD)?.clientId;

  function held() {
    open();
    holding().then((one) => {
      holder = one;
      tell();
    });
    return new Promise(() => {});
  }

  /** Another tab took it over. */
  function lost() {
    stream.close();
    stream = null;
    heard = performance.now();
    wait();
  }

  function open() {
    heard = performance.now();
    const mine = new EventSource("/events");
    stream = mine;
    mine.onopen = () => pass({ open: true });
    mine.onmessage = (message) => pass(JSON.parse(message.data));
    mine.onerror = () => {
      // A server that was started anew lets nobody in at first; then the browser gives up, and we do not.
      if (mine.readyState === EventSource.CLOSED) setTimeout(() => { if (stream === mine) open(); }, AGAIN_MS);
      pass({ lost: true });
    };
  }

  wait();
  askHolder();
  addEventListener("pagehide", () => { leaving = true; });
  document.addEventListener("visibilitychange", () => {
    if (stream && !leaving) tell();
    else askHolder();
  });
  setInterval(() => {
    if (stream || document.hidden) return;
    const silent = performance.now() - heard;
    if (silent > ASLEEP_MS) takeOver();
    else if (silent > LATE_MS) look();
    askHolder();
  }, TICK_MS);
}
