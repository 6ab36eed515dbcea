/** Who is here: asked of the door where there is one; nobody and no door on this computer's own address. */
import { signal } from "@preact/signals";
import { get } from "../lib/api.js";

/** @typedef {{name: string, role: string|null, phone: boolean, bench: string}} Visitor */

/** @type {import("@preact/signals").Signal<Visitor|null>} */
export const visitor = signal(/** @type {Visitor|null} */ (null));

/** Told where an answer says that nobody is signed in. */
export const SIGNED_OUT = "strandwright:signed-out";

const KEY = "strandwright.visitor";
const ORDER = ["looker-on", "counter", "technician", "owner"];

/**
 * Ask the door who is here, and remember it for the time when nobody answers.
 * @returns {Promise<Visitor|null>}
 */
export async function whoIsHere() {
  const said = await get("/api/session");
  return remember(said.name === null ? null : said);
}

/** @param {Visitor|null} here */
export function remember(here) {
  visitor.value = here;
  try {
    if (here === null) localStorage.removeItem(KEY); else localStorage.setItem(KEY, JSON.stringify(here));
  } catch { /* the browser keeps nothing: then only a door that answers opens */ }
  return here;
}

/** Who was here last, for as long as the bench computer is silent: a count must go on. */
export function remembered() {
  try { visitor.value = JSON.parse(localStorage.getItem(KEY) ?? "null"); } catch { visitor.value = null; }
  return visitor.value;
}

/**
 * Tell whether who is here may do what a role may; without a door everybody may all.
 * @param {string} least
 */
export function may(least) {
  const here = visitor.value;
  return here === null || ORDER.indexOf(here.role ?? "") >= ORDER.indexOf(least);
}
