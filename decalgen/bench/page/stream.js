// What happens on the server. A browser keeps no more than six connections to one server, so one tab holds the stream
// for all of them, and passes on what it hears; when it is closed, the next one does. Without streams: ask.

const AGAIN_MS = 2000;
const ASK_MS = 1000;
const SILENT_MS = 40_000; // the stream says something every 15 seconds

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
  others.onmessage = (message) => take(message.data);
  const pass = (what) => {
    others.postMessage(what);
    take(what);
  };
  navigator.locks.request("stream", () => new Promise(() => open()));

  function open() {
    const stream = new EventSource("/events");
    stream.onopen = () => pass({ open: true });
    stream.onmessage = (message) => pass(JSON.parse(message.data));
    stream.onerror = () => {
      // A server that was started anew lets nobody in at first; then the browser gives up, and we do not.
      if (stream.readyState === EventSource.CLOSED) setTimeout(open, AGAIN_MS);
      pass({ lost: true });
    };
  }

  // The tab that holds the stream may be asleep: then ask for oneself.
  setInterval(() => { if (performance.now() - heard > SILENT_MS) look(); }, SILENT_MS / 2);
}
