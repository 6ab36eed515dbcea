/** A job's tables by the names of its file: `line.servings[3].start`, places in lists from 1. */

/** @typedef {Record<string, any>} Tables */

/**
 * Read a field.
 * @param {Tables} job
 * @param {string} field
 * @returns {any} undefined if the file leaves it out
 */
export function readField(job, field) {
  let at = /** @type {any} */ (job);
  for (const part of field.split(".")) {
    const [, name, place] = /^([a-z_]+)(?:\[(\d+)\])?$/.exec(part) ?? [];
    at = at?.[name];
    if (place !== undefined) at = at?.[Number(place) - 1];
  }
  return at;
}

/** @typedef {{field: string, before: any, after: any}} Difference */

/**
 * List the fields in which two states of a job differ.
 * @param {any} before
 * @param {any} after
 * @param {string} [at]
 * @returns {Difference[]}
 */
export function differences(before, after, at = "") {
  if (Object.is(before, after)) return [];
  if (Array.isArray(before) && Array.isArray(after)) {
    return places(Math.max(before.length, after.length))
      .flatMap((k) => differences(before[k], after[k], `${at}[${k + 1}]`));
  }
  if (isTable(before) && isTable(after)) {
    const names = [...new Set([...Object.keys(before), ...Object.keys(after)])];
    return names.flatMap((name) => differences(before[name], after[name], at === "" ? name : `${at}.${name}`));
  }
  return [{ field: at, before, after }];
}

const WORDS = {
  "line.finished": "finished length", "line.name": "line", "makeup.twist": "twist", "makeup.turns": "turns",
  "makeup.hand": "hand of twist", "makeup.strand": "strand", "makeup.strands": "strands", "paper.fraction": "fraction",
  "makeup.pattern": "pattern of colours", "bow.draw_weight": "draw weight",
  "line.zero_end.size": "size of the loop at the zero end", "line.far_end.size": "size of the loop at the far end",
};

/**
 * Say a field in the workshop's words.
 * @param {Tables} job the job it stands in, whose servings, marks and colours have names
 * @param {string} field
 * @returns {string}
 */
export function fieldInWords(job, field) {
  if (field in WORDS) return WORDS[field];
  const [, list, place, , last] = /^(?:line|makeup)\.(servings|marks|colours)\[(\d+)\](\.(.+))?$/.exec(field) ?? [];
  if (list !== undefined) {
    const owner = readField(job, field.replace(/\.[^.]*$/, (tail) => (last ? "" : tail)))?.name
      ?? `${list.slice(0, -1)} ${place}`;
    return last === undefined || last === "at" ? owner : `${owner}, ${last.replaceAll("_", " ")}`;
  }
  return field.replaceAll("_", " ").replaceAll(".", ", ");
}

/**
 * Say a value as it can stand in a sentence.
 * @param {any} value
 * @returns {string}
 */
export function valueInWords(value) {
  if (value === undefined || value === null || value === "") return "nothing";
  return isTable(value) ? String(value.name ?? "something else") : String(value);
}

/** @param {any} value */
const isTable = (value) => typeof value === "object" && value !== null && !Array.isArray(value);
/** @param {number} count */
const places = (count) => Array.from({ length: count }, (_, k) => k);
