/** What can be chosen from: strands, threads, kinds of bow; fetched once. */
import { signal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import { get } from "../lib/api.js";
import { answering } from "../models/shell.js";

const choices = signal(/** @type {any} */ (null));
let asking = false;

async function fetchChoices() {
  if (asking || choices.peek() !== null) return;
  asking = true;
  // Without them a select still shows what the job says; the next screen asks again.
  try { choices.value = await get("/api/choices"); } catch (error) { console.warn(error.message); }
  asking = false;
}

/**
 * Give the choices; empty lists until they are here.
 * @returns {any}
 */
export function useChoices() {
  const answers = answering.value;
  useEffect(() => { void fetchChoices(); }, [answers]);
  return choices.value ?? { strands: [], threads: [], bow_kinds: [], orders: [], gauges: [], tapes: [], beams: [], uses: [], examples: [] };
}

/**
 * Make options of plain names.
 * @param {string[]} names
 */
export const asOptions = (names) => names.map((name) => ({ name, label: name }));
