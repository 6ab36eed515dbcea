/** The shell: header, addresses, and the screen between them. */
import { render } from "preact";
import { useEffect, useRef, useState } from "preact/hooks";
import { signal } from "@preact/signals";
import { html } from "./lib/dom.js";
import { addressOf, readRoute } from "./lib/route.js";
// Acts left over from an earlier visit go off from whatever screen is opened.
import "./models/bench_outbox.js";
import { listen } from "./models/live.js";
import {
  answering, chooseTheme, hello, nameScreen, savedText, spoken, theme, waiting,
} from "./models/shell.js";
import { may, visitor } from "./models/visitor.js";

/** @type {Record<string, () => Promise<{Screen: (props: {id: string}) => any}>>} */
const SCREENS = {
  orders: () => import("./controllers/orders.js"),
  order: () => import("./controllers/order.js"),
  quote: () => import("./controllers/quote.js"),
  terms: () => import("./controllers/terms.js"),
  jobs: () => import("./controllers/jobs.js"),
  new: () => import("./controllers/new_line.js"),
  line: () => import("./controllers/line.js"),
  set: () => import("./controllers/set.js"),
  bow: () => import("./controllers/bow.js"),
  jig: () => import("./controllers/jig.js"),
  done: () => import("./controllers/done.js"),
  fit: () => import("./controllers/fit.js"),
  service: () => import("./controllers/service.js"),
  again: () => import("./controllers/again.js"),
  queue: () => import("./controllers/queue.js"),
  stock: () => import("./controllers/stock.js"),
  shop: () => import("./controllers/shop.js"),
  records: () => import("./controllers/records.js"),
  bench: () => import("./controllers/bench.js"),
  people: () => import("./controllers/people.js"),
  phone: () => import("./controllers/phone.js"),
};
const NAV = [["orders", "Counter"], ["jobs", "Jobs"], ["queue", "Queue"], ["done", "Builds done"], ["stock", "Stock"], ["shop", "Shop"], ["bench", "Bench"]];
/** Places that are not for everybody who has signed in. */
const LEAST = { orders: "counter" };
/** A paired phone counts, and goes nowhere else. */
const PHONE_NAV = [["phone", "On the jig"]];
/** Which place in the header a screen belongs to. */
const PLACE = { orders: "orders", order: "orders", quote: "orders", terms: "shop", jobs: "jobs", new: "jobs", line: "jobs", set: "jobs", bow: "jobs", jig: "jobs", done: "done", fit: "done", service: "done", again: "done", queue: "queue", stock: "stock", shop: "shop", records: "shop", bench: "bench", people: "people", phone: "phone" };
const TITLES = { orders: "At the counter", order: "Order", quote: "The price", terms: "The shop’s terms", jobs: "Jobs", new: "New line", line: "Line", set: "Set", bow: "Bow", jig: "At the jig", done: "Builds done", fit: "On the bow", service: "On its bow", again: "Look again", queue: "Queue", stock: "Stock", shop: "The shop", records: "Records", bench: "Bench", people: "Benches & people", phone: "On the jig" };
const THEMES = [["device", "as the device"], ["light", "light"], ["dark", "dark"], ["sun", "sun"]];

const route = signal(readRoute(location.hash));
addEventListener("hashchange", () => { route.value = readRoute(location.hash); });

function Header() {
  const here = PLACE[route.value.screen];
  return html`
    <header class="top">
      <a class="wordmark" href="#/">strandwright</a>
      <nav aria-label="Places">
        ${(visitor.value?.phone ? PHONE_NAV : NAV.filter(([screen]) => may(LEAST[screen] ?? "looker-on"))).map(([screen, text]) => html`
          <a href=${addressOf(screen)} aria-current=${here === screen ? "page" : null}>${text}</a>`)}
      </nav>
      ${hello.value?.demo ? html`<span class="demo">demonstration: nothing is kept</span>` : null}
      ${visitor.value ? html`<a class="who" href=${addressOf("people")} aria-current=${here === "people" ? "page" : null}>${visitor.value.name}</a>` : null}
      <span class="saved" role="status" data-waiting=${waiting.value > 0 ? "yes" : null}>${savedText}</span>
      <label class="light"><span>Light</span>
        <select value=${theme.value} onChange=${(e) => chooseTheme(e.currentTarget.value)}>
          ${THEMES.map(([value, text]) => html`<option value=${value} selected=${theme.value === value}>${text}</option>`)}
        </select></label>
    </header>`;
}

/** Said where the program stopped answering, until it answers again. */
function Silence() {
  const [long, setLong] = useState(false);
  const silent = answering.value === false;
  useEffect(() => {
    setLong(false);
    if (!silent) return undefined;
    const timer = setTimeout(() => setLong(true), 1500);
    return () => clearTimeout(timer);
  }, [silent]);
  if (!silent || !long) return null;
  return html`<p class="silence" role="alert">The program does not answer. Start strandwright again on
    this computer; this page goes on by itself. What you do meanwhile waits here.</p>`;
}

/** @param {{screen: string, id: string}} props */
function Place({ screen, id }) {
  const [loaded, setLoaded] = useState(/** @type {any} */ (null));
  useEffect(() => {
    let gone = false;
    nameScreen(TITLES[screen] ?? "No such place");
    if (!(screen in SCREENS)) return undefined;
    SCREENS[screen]().then(
      (module) => { if (!gone) setLoaded({ screen, Screen: module.Screen }); },
      (error) => { if (!gone) setLoaded({ screen, error }); console.warn(error); });
    return () => { gone = true; };
  }, [screen]);
  if (!(screen in SCREENS)) {
    return html`<section class="page"><h1>There is no such place</h1>
      <p>The address after <code>#</code> is not one of this program's.</p>
      <p><a class="act" href="#/">Go to the jobs at hand</a></p></section>`;
  }
  if (loaded === null || loaded.screen !== screen) return html`<p class="loading">Fetching the page…</p>`;
  if (loaded.error) {
    return html`<section class="page"><h1>This page could not be fetched</h1>
      <p>The program may have stopped. Start strandwright again on this computer.</p>
      <p><button class="act" onClick=${() => location.reload()}>Fetch it again</button></p></section>`;
  }
  return html`<${loaded.Screen} key=${`${screen}/${id}`} id=${id} />`;
}

/** Where one is; a paired phone is at its counts, whatever its address says. */
function placeNow() {
  const { screen, id } = route.value;
  return visitor.value?.phone && screen !== "people" && screen !== "phone" ? { screen: "phone", id: screen === "jig" ? id : "" } : { screen, id };
}

function App() {
  const main = useRef(/** @type {HTMLElement|null} */ (null));
  const { screen, id } = placeNow();
  const first = useRef(true);
  useEffect(() => {
    document.body.dataset.screen = screen;
    // A new place starts at its top, for the eye and for the keyboard; not on the first paint.
    if (first.current) { first.current = false; return; }
    scrollTo(0, 0);
    main.current?.focus({ preventScroll: true });
  }, [screen, id]);
  return html`
    <a class="skip" href="#main" onClick=${(e) => { e.preventDefault(); main.current?.focus(); }}>Skip to the work</a>
    <${Header} />
    <${Silence} />
    <main id="main" tabindex="-1" ref=${main}><${Place} screen=${screen} id=${id} /></main>
    <p class="unseen" aria-live="polite">${spoken}</p>`;
}

const root = /** @type {HTMLElement} */ (document.getElementById("app"));
root.replaceChildren();
render(html`<${App} />`, root);
listen();
if ("serviceWorker" in navigator) {
  navigator.serviceWorker.register("/sw.js").catch((error) => console.warn(error));
}
