/** A kept document under edit: what is saved, what was typed over it, what is wrong with that. */
import { signal } from "@preact/signals";
import { ApiError, put } from "../lib/api.js";
import { readField } from "./job_fields.js";
import { setWaiting } from "./shell.js";

export class KeptDraft {
  typed = signal(/** @type {Record<string, any>} */ ({}));
  failure = signal(/** @type {any} */ (null));
  /** Said after a save: which jobs it changed. @type {import("@preact/signals").Signal<string[]|null>} */ changed = signal(null);
  busy = signal(false);

  /**
   * @param {string} kind `bench` or `bow`
   * @param {string} path such as `/api/benches/long-beam`
   */
  constructor(kind, path) { this.kind = kind; this.path = path; }

  /** What a field shows. @param {any} tables @param {string} field */
  shown(tables, field) { return this.typed.value[field] ?? String(readField(tables, field) ?? ""); }

  /** @param {string} field @param {string} text */
  type(field, text) {
    this.typed.value = { ...this.typed.value, [field]: text };
    this.changed.value = null;
  }

  /** What is wrong at a field. @param {string} field */
  wrongAt(field) {
    return this.failure.value?.errors?.find((error) => error.field === field || error.field === `${this.kind}.${field}`);
  }

  /** Errors that belong to no field shown. @param {string[]} fields */
  elsewhere(fields) {
    return (this.failure.value?.errors ?? []).filter((error) => !fields.some((field) => error.field === field || error.field === `${this.kind}.${field}`));
  }

  /** Give up what was typed. */
  giveUp() { this.typed.value = {}; this.failure.value = null; }

  /**
   * Save what was typed over the newest revision.
   * @param {any} tables @param {number} revision @param {Set<string>} numbers fields that hold numbers
   * @returns {Promise<boolean>}
   */
  async save(tables, revision, numbers) {
    this.busy.value = true;
    setWaiting(this.path, 1);
    try {
      const answer = await put(this.path, { revision, [this.kind]: merged(tables, this.typed.value, numbers) });
      this.typed.value = {};
      this.failure.value = null;
      this.changed.value = answer.changed_jobs ?? [];
      return true;
    } catch (error) {
      if (!(error instanceof ApiError)) throw error;
      this.failure.value = error;
      return false;
    } finally {
      this.busy.value = false;
      setWaiting(this.path, 0);
    }
  }
}

/**
 * Lay what was typed over the tables; an emptied field is left out.
 * @param {any} tables @param {Record<string, string>} typed @param {Set<string>} numbers
 */
export function merged(tables, typed, numbers) {
  const made = structuredClone(tables ?? {});
  for (const [field, text] of Object.entries(typed)) {
    const names = field.split(".");
    const last = /** @type {string} */ (names.pop());
    let at = made;
    for (const name of names) at = at[name] ??= {};
    const value = text.trim();
    if (value === "") delete at[last];
    else at[last] = numbers.has(field) && Number.isFinite(Number(value)) ? Number(value) : value;
  }
  return made;
}
