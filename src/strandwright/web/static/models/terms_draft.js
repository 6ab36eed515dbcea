/** The shop's terms under edit: a form of texts over what is kept, which outlives a refusal and a reload. */
import { signal } from "@preact/signals";
import { ApiError, put } from "../lib/api.js";
import { Draft } from "./draft.js";
import { lastingStorage } from "./order_draft.js";
import { filled } from "./quote_draft.js";
import { setWaiting } from "./shell.js";

const TEXTS = ["name", "currency", "hourly_rate", "deposit", "markup", "post_allowance", "tails", "label_width", "label_height"];
const COUNTS = ["decimals", "charged_by", "holds_days", "warranty_days"];
const SHARES = ["deposit", "markup"];

/** What the form shows of kept terms: texts, ticks and rows. @param {any} terms @returns {any} */
export function formOf(terms) {
  const texts = Object.fromEntries([...TEXTS, ...COUNTS].map((name) => [name, String(terms[name] ?? "")]));
  return {
    ...texts, address: (terms.address ?? []).join("\n"), prices_include_tax: terms.prices_include_tax ?? false, remake_charged: terms.remake_charged ?? false,
    taxes: (terms.taxes ?? []).map((tax) => ({ name: tax.name, rate: tax.rate, on: (tax.on ?? []).join(" ") })),
    prices: (terms.prices ?? []).map((one) => ({ ware: one.ware, colour: one.colour ?? "", price: one.price, per: one.per ?? "" })),
    open: (terms.open ?? []).map((one) => ({ ...one })),
  };
}

/** Terms as they are sent; what is empty is not set, and what the form does not show stays. @param {any} form @param {any} kept */
export function termsOf(form, kept) {
  const told = structuredClone(kept);
  const say = (name, value, isSet) => { if (isSet) told[name] = value; else delete told[name]; };
  for (const name of TEXTS) say(name, SHARES.includes(name) ? asShare(form[name]) : form[name].trim(), form[name].trim() !== "");
  for (const name of COUNTS) say(name, asCount(form[name]), form[name].trim() !== "");
  const address = form.address.split("\n").map((line) => line.trim()).filter(Boolean);
  say("address", address, address.length > 0);
  for (const name of ["prices_include_tax", "remake_charged"]) say(name, true, form[name]);
  const taxes = filled(form.taxes).map(({ name, rate, on }) => ({ name: name.trim(), rate: asShare(rate), ...(on.trim() ? { on: on.trim().split(/[\s,]+/) } : {}) }));
  say("taxes", taxes, taxes.length > 0);
  const prices = filled(form.prices).map((row) => Object.fromEntries(Object.entries(row).map(([name, text]) => [name, text.trim()]).filter(([name, text]) => text !== "" || name === "ware" || name === "price")));
  say("prices", prices, prices.length > 0);
  const open = form.open.filter((row) => row.opens.trim() !== "" || row.closes.trim() !== "");
  say("open", open, open.length > 0);
  return told;
}

/** A bare number is meant in per cent. @param {string} text */
const asShare = (text) => (/^[0-9.]+$/.test(text.trim()) ? `${text.trim()} %` : text.trim());
/** @param {string} text */
const asCount = (text) => (/^[0-9]+$/.test(text.trim()) ? Number(text) : text.trim());

export class TermsDraft {
  failure = signal(/** @type {any} */ (null));
  busy = signal(false);
  saved = signal(false);
  #kept;

  /** @param {Storage|null} [storage] */
  constructor(storage = lastingStorage()) { this.#kept = new Draft("terms", { form: null, revision: 0 }, storage); }

  /** What was typed and not kept yet; null where nothing was. */
  get typed() { return this.#kept.value.value.form; }

  /** @param {any} told @param {any} form as it is shown @param {number} revision it was begun on */
  type(told, form, revision) {
    this.saved.value = false;
    const begun = this.typed === null ? revision : this.#kept.value.value.revision;
    this.#kept.set({ form: { ...form, ...told }, revision: begun });
  }

  giveUp() { this.#kept.forget(); this.failure.value = null; }

  /** @param {...string} fields */
  wrongAt(...fields) { return this.failure.value?.errors?.find((error) => fields.includes(error.field)); }

  /** @param {any} kept @param {any} form @returns {Promise<any>} null where they were not kept */
  async save(kept, form) {
    this.busy.value = true;
    setWaiting("terms", 1);
    try {
      const answer = await put("/api/terms", { revision: this.#kept.value.value.revision, terms: termsOf(form, kept) });
      this.giveUp();
      this.saved.value = true;
      return answer;
    } catch (error) {
      if (!(error instanceof ApiError)) throw error;
      this.failure.value = error;
      return null;
    } finally {
      this.busy.value = false;
      setWaiting("terms", 0);
    }
  }
}
