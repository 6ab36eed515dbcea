/**
 * The program's own voice: tells when anything kept has changed.
 *
 * A browser lets a host have six connections in all, and a voice that is listened to holds one. So
 * one tab listens, the one that holds the lock, and tells the others; when it closes, the lock goes
 * to the next.
 */
import { get } from "../lib/api.js";
import { answering, hello, mark } from "./shell.js";

const NAME = "strandwright-live";
/** A browser that gave up is told to try again after this long [ms]. */
const AGAIN = 3000;

/** Listen for as long as the page is open. */
export function listen() {
  const tabs = new BroadcastChannel(NAME);
  const over = new AbortController();
  let speaks = false;
  const tell = () => tabs.postMessage({ answering: answering.peek(), mark: mark.peek() });
  tabs.onmessage = ({ data }) => {
    if (data === "asked") { if (speaks) tell(); } else hear(data);
  };
  tabs.postMessage("asked");
  const speak = () => { speaks = true; return listenAlone(over.signal, tell); };
  if (navigator.locks) navigator.locks.request(NAME, { signal: over.signal }, speak).catch(onlyIfOver(over.signal));
  else void speak();
  addEventListener("pagehide", () => { over.abort(); tabs.close(); }, { once: true });
  addEventListener("pageshow", (event) => { if (event.persisted) listen(); }, { once: true });
  get("/api/hello").then((said) => { hello.value = said; }, () => { if (answering.peek() === null) answering.value = false; });
}

/** What was heard, here or by the tab that listens. */
function hear(said) {
  answering.value = said.answering;
  if (typeof said.mark === "number") mark.value = said.mark;
}

/** Hold the one connection until it is over; `tell` is called whenever something was heard. */
function listenAlone(over, tell) {
  return new Promise((done) => {
    let source, timer;
    const heard = (said) => { hear({ mark: mark.peek(), ...said }); tell(); };
    const open = () => {
      // Behind a door that is shut nobody is told anything, and each asking would be a complaint.
      if (document.getElementById("app")?.hidden) { timer = setTimeout(open, AGAIN); return; }
      source = new EventSource("/api/live");
      source.addEventListener("open", () => heard({ answering: true }));
      source.addEventListener("mark", (event) => heard({ answering: true, mark: JSON.parse(event.data).mark }));
      source.addEventListener("error", () => {
        heard({ answering: false });
        // The browser tries again by itself, except after an answer that is no such voice.
        if (source.readyState === EventSource.CLOSED) { timer = setTimeout(open, AGAIN); dispatchEvent(new Event("strandwright:unheard")); }
      });
    };
    open();
    over.addEventListener("abort", () => { clearTimeout(timer); source?.close(); done(undefined); });
  });
}

/** A wait for the lock that was given up says so by failing; anything else is worth hearing of. */
const onlyIfOver = (over) => (error) => { if (!over.aborted) throw error; };
