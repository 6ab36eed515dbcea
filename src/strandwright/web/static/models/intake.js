/** A bow that is being taken in: who brings it, what it is, what is wanted; sent as one order. */
import { ApiError, get, put } from "../lib/api.js";
import { newId, nowText } from "../lib/ids.js";
import { Draft } from "./draft.js";
import { lastingStorage, told } from "./order_draft.js";

/**
 * @typedef {{who: string, whoName: string, name: string, by: string, reach: string, notes: string, kind: string, bowName: string, drawWeight: string,
 *   bowLength: string, year: string, limbs: string, lowStretch: string, crossbow: string, work: string[], wants: string, lines: string, wishedBy: string,
 *   ids: {order: string, customer: string, event: string, at: string, said: string, lost: boolean, kept: number}|null}} Intake
 */

/** @type {Intake} */
export const FRESH = {
  who: "", whoName: "", name: "", by: "telephone", reach: "", notes: "", kind: "", bowName: "", drawWeight: "", bowLength: "", year: "", limbs: "", lowStretch: "", crossbow: "",
  work: [], wants: "", lines: "1", wishedBy: "", ids: null,
};

export const intake = new Draft("intake", FRESH, lastingStorage());

const asWhole = (/** @type {string} */ text) => (/^\d+$/.test(text.trim()) ? Number(text) : text);

/** The bow as a job file has it. @param {Intake} typed */
export function bowOf(typed) {
  return {
    kind: typed.kind,
    ...told({ name: typed.bowName, draw_weight: typed.drawWeight, bow_length: typed.bowLength, limbs: typed.limbs, crossbow: typed.kind === "crossbow" ? typed.crossbow : "" }),
    ...(typed.year.trim() === "" ? {} : { year: asWhole(typed.year) }),
    ...(typed.lowStretch === "" ? {} : { takes_low_stretch: typed.lowStretch === "yes" }),
  };
}

/** The customer as it is kept. @param {Intake} typed */
export function customerOf(typed) {
  const reach = typed.reach.trim();
  return { name: typed.name.trim(), ...(reach === "" ? {} : { reach: [{ by: typed.by, at: reach }] }), ...told({ notes: typed.notes }) };
}

/**
 * Keep the customer, if new, and open the order; sent again after a lost answer it is one.
 * @param {string} units
 * @returns {Promise<string>} the order's identity
 */
export async function takeIn(units) {
  const typed = intake.value.value;
  const { ids: _, ...rest } = typed;
  const said = JSON.stringify([rest, units]);
  // Told otherwise it is another event; customer and order stay the same ones.
  const ids = typed.ids?.said === said ? typed.ids : {
    order: typed.ids?.order ?? newId(), customer: typed.ids?.customer ?? newId(), event: newId(), at: nowText(), said, lost: typed.ids?.lost ?? false,
    kept: typed.ids?.kept ?? 0,
  };
  intake.set({ ids });
  const customer = typed.who || ids.customer;
  try {
    if (typed.who === "") ids.kept = await keepCustomer(customer, customerOf(typed), ids);
    await put(`/api/orders/${ids.order}`, { event: eventOf(typed, ids, customer), units });
  } catch (error) {
    if (!(error instanceof ApiError)) throw error;
    intake.set({ ids: { ...ids, lost: ids.lost || error.mayPass } });
    // It was opened by a request whose answer was lost, before something was typed over.
    if (!ids.lost || error.mayPass || !await isOpen(ids.order)) throw error;
  }
  intake.forget();
  return ids.order;
}

function eventOf(typed, ids, customer) {
  const body = {
    customer, bow: bowOf(typed), work: typed.work, wants: typed.wants.trim(), lines: asWhole(typed.lines),
    ...(typed.wishedBy === "" ? {} : { wished_by: typed.wishedBy }),
  };
  return { id: ids.event, type: "order-opened", at: ids.at, by: "counter", body };
}

/** Kept once and the order refused, they are kept again with what was mended. @returns {Promise<number>} the revision */
async function keepCustomer(id, customer, { lost, kept }) {
  const here = lost ? await get(`/api/customers/${id}`).catch(() => null) : null;
  const answer = await put(`/api/customers/${id}`, { revision: here?.revision ?? kept, customer });
  return answer.revision;
}

async function isOpen(id) {
  try { await get(`/api/orders/${id}`); return true; } catch { return false; }
}

/** Where each field's errors may say they belong. */
const NAMES = {
  name: ["customer.name"], reach: ["customer.reach[1].at", "customer.reach"], notes: ["customer.notes"], kind: ["order-opened.bow.kind", "order-opened.bow"],
  bowName: ["order-opened.bow.name"], drawWeight: ["order-opened.bow.draw_weight"], bowLength: ["order-opened.bow.bow_length"], year: ["order-opened.bow.year"],
  limbs: ["order-opened.bow.limbs"], crossbow: ["order-opened.bow.crossbow"], lines: ["order-opened.lines"], wishedBy: ["order-opened.wished_by"], wants: ["order-opened.wants"], who: ["order-opened.customer"],
};

/** @param {any} failure @returns {{at: Record<string, any>, elsewhere: any[]}} */
export function placed(failure) {
  const at = /** @type {Record<string, any>} */ ({});
  const elsewhere = [];
  for (const error of failure?.errors ?? []) {
    const [field] = Object.entries(NAMES).find(([, names]) => names.includes(error.field)) ?? [""];
    if (field === "" || field in at) elsewhere.push(error); else at[field] = error;
  }
  return { at, elsewhere };
}
