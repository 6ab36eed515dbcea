/** The door: asks who is here before anything of the shop is fetched, and stands before it when nobody is. */
import { render } from "preact";
import { html } from "./lib/dom.js";
import { Pair, SignIn } from "./controllers/sign_in.js";
import { SIGNED_OUT, remembered, visitor, whoIsHere } from "./models/visitor.js";

const app = /** @type {HTMLElement} */ (document.getElementById("app"));
const gate = document.createElement("div");
gate.id = "door";
document.body.append(gate);
let isOpen = false;
let isAsking = false;

/** Show the shop; its modules are loaded only now. */
async function enter() {
  render(null, gate);
  app.hidden = false;
  if (isOpen) return;
  isOpen = true;
  await import("./app.js");
}

/** Hide the shop behind a page of the door. */
function shut(page) {
  app.hidden = true;
  render(page, gate);
}

function askForName() {
  const before = visitor.peek()?.name ?? "";
  shut(html`<${SignIn} before=${isOpen ? before : ""} onIn=${(here) => {
    // Somebody else must not find what was typed by the one before.
    if (isOpen && here.name !== before) location.reload(); else void enter();
  }} />`);
}

/** The code that a phone read off the bench's screen. */
function codeRead() {
  const found = /^#\/pair\/([0-9a-f]{32})$/.exec(location.hash);
  // It is good once: nobody shall find it in the list of pages that were open.
  if (found) history.replaceState(null, "", "#/");
  return found?.[1] ?? "";
}

/** See whether the one who was here still is. */
async function look() {
  if (isAsking) return;
  isAsking = true;
  const before = visitor.peek();
  try {
    if (await whoIsHere() === null) { visitor.value = before; askForName(); }
  } catch { /* nobody answers: the page says so itself, and goes on counting */ }
  isAsking = false;
}

async function begin() {
  const code = codeRead();
  if (code !== "") return shut(html`<${Pair} code=${code} onIn=${enter} />`);
  let here;
  try { here = await whoIsHere(); } catch { here = remembered(); }
  return here === null ? askForName() : enter();
}

addEventListener(SIGNED_OUT, () => void look());
addEventListener("strandwright:unheard", () => void look());
addEventListener("hashchange", () => { if (!isOpen && location.hash.startsWith("#/pair/")) location.reload(); });
// A page that is taken out of the browser's memory may be somebody's who has signed out since.
addEventListener("pageshow", (event) => { if (event.persisted) void look(); });
void begin();
