/** A new line as it is typed: what is asked, what is sent, and where an error belongs. */

import { asBow } from "./known_bow.js";

/** @typedef {{name: string, colour: string, strands: string}} ColourDraft */
/**
 * @typedef {{id: string, name: string, customer: string, shorthand: string, kind: string, bowKind: string, bowName: string,
 *   drawWeight: string, bowLength: string, braceHeight: string, braceWanted: string, drawLength: string, nockHeight: string, strand: string, colours: ColourDraft[], thread: string, centreThread: string, loop: string, tolerance: string, twist: string, leg: string, span: string,
 *   bundles: string, made: string, crossbow: string, rail: string, reinforced: string, jig: string, between: string, innerPost: string, pivot: string,
 *   bench: string, benchKept: {id: string, revision: number}|null, benchName: string, zeroPost: string, longest: string, gauge: string, rating: string, ratingUnknown: boolean,
 *   bowFrom: string, bowTables: Record<string, any>|null, bowsTyped: Record<string, object>,
 *   order: {id: string, number: string, name: string, event: string, at: string}|null}} NewLine
 */

/** @type {NewLine} */
export const FRESH = {
  id: "", name: "", customer: "", shorthand: "", kind: "string", bowKind: "", bowName: "", drawWeight: "", strand: "",
  bowLength: "", braceHeight: "", braceWanted: "", drawLength: "", nockHeight: "",
  colours: [{ name: "first", colour: "#2F6B57", strands: "24" }], thread: "", centreThread: "", loop: "", tolerance: "", twist: "", leg: "", span: "",
  bundles: "2", made: "halves", crossbow: "", rail: "", reinforced: "", jig: "two", between: "", innerPost: "", pivot: "",
  bench: "", benchKept: null, benchName: "bench", zeroPost: "", longest: "", gauge: "none", rating: "", ratingUnknown: false,
  bowFrom: "", bowTables: null, bowsTyped: {}, order: null,
};

/**
 * Make an id of a name: `ridge bow` gives `RIDGE-BOW`.
 * @param {string} text
 * @returns {string} empty if nothing in it can stand in an id
 */
export function idOf(text) {
  return text.normalize("NFKD").replace(/[^A-Za-z0-9]+/g, "-").replace(/^-+|-+$/g, "").toUpperCase().slice(0, 30).replace(/-+$/, "");
}

/** What the job file calls it: a yoke is a cable, a laid-in line a string. */
const fileKind = (/** @type {NewLine} */ line) => ({ yoke: "cable", laid: "string" })[line.kind] ?? line.kind;

/**
 * Give the id a new line gets if none is typed.
 * @param {NewLine} line
 */
export const suggestedId = (line) => idOf([line.bowName || line.bowKind, fileKind(line)].filter(Boolean).join(" "));

/**
 * Add up the strands of all colours.
 * @param {ColourDraft[]} colours
 * @returns {number|null} null while one of them is no whole number
 */
export function strandsOf(colours) {
  const counts = colours.map((one) => (/^\d+$/.test(one.strands.trim()) ? Number(one.strands) : NaN));
  const sum = counts.reduce((total, count) => total + count, 0);
  return Number.isNaN(sum) ? null : sum;
}

/**
 * Write the request for a new line.
 * @param {NewLine} line
 * @param {string|null} bench id
 */
export function asRequest(line, bench) {
  return {
    id: line.id.trim() || suggestedId(line),
    name: line.name.trim() || `${fileKind(line) === "cable" ? "Cable" : "String"} for the ${line.bowName.trim() || "bow"}`,
    customer: line.customer.trim(), shorthand: line.shorthand.trim(), kind: fileKind(line),
    ...(line.kind === "laid" ? { laid: { bundles: Number(line.bundles) } } : {}),
    ...(line.kind === "yoke" ? { yoke: told({ made: isStrapped(line) ? "strap" : "", leg: line.leg, span: line.span }) } : {}),
    bow: asBow(line, { kind: line.bowKind, name: line.bowName.trim(), draw_weight: line.drawWeight.trim(), ...withoutWheels(line), ...onARail(line) }),
    ...(isCrossbow(line) && line.reinforced.trim() !== "" ? { reinforced: asCount(line.reinforced) } : {}),
    strand: line.strand, strands: strandsOf(line.colours) ?? 0,
    colours: line.colours.map((one) => ({ name: one.name.trim(), colour: one.colour, strands: asCount(one.strands) })),
    thread: line.thread, centre_thread: line.centreThread || line.thread, loop: line.loop.trim(), ...told({ tolerance: line.tolerance }), twist: line.twist.trim(), bench,
  };
}

/** Kinds of bow whose string alone sets the brace height. */
export const isBent = (/** @type {NewLine} */ line) => ["string", "laid"].includes(line.kind) && (line.bowKind === "recurve" || line.bowKind === "longbow");

/** A cable whose legs are a strap that hangs in its eye. */
export const isStrapped = (/** @type {NewLine} */ line) => line.kind === "yoke" && line.made === "strap";

/** A first bench with four posts on swinging arms. */
export const isFourPosts = (/** @type {NewLine} */ line) => line.jig === "four";

/** What is told of a thing; what is left out is not sent. @param {Record<string, string>} typed */
const told = (typed) => Object.fromEntries(Object.entries(typed).map(([name, text]) => [name, text.trim()]).filter(([, text]) => text !== ""));

/** The string of a crossbow, which a latch holds. */
export const isCrossbow = (/** @type {NewLine} */ line) => line.kind === "string" && line.bowKind === "crossbow";

/** What is told of a crossbow; what is left out is not sent. */
function onARail(/** @type {NewLine} */ line) {
  return isCrossbow(line) ? told({ crossbow: line.crossbow, rail: line.rail }) : {};
}

/** What is told of a bow without wheels; what is left out is not sent. */
function withoutWheels(/** @type {NewLine} */ line) {
  if (!isBent(line)) return {};
  const given = told({ bow_length: line.bowLength, brace_height: line.braceHeight, draw_length: line.drawLength, nock_height: line.nockHeight });
  return line.braceWanted.trim() === "" ? given : { ...given, wanted: { brace_height: line.braceWanted.trim() } };
}

/**
 * Write the tables of a first bench.
 * @param {NewLine} line
 */
export function asBench(line) {
  return {
    name: line.benchName.trim() || "bench", zero_post: line.zeroPost.trim(), longest: line.longest.trim(), gauge: line.gauge,
    ...(isFourPosts(line) ? { arms: { between: line.between.trim(), ...told({ post: line.innerPost, pivot: line.pivot }) } } : {}),
    rating: line.ratingUnknown ? "unknown" : line.rating.trim(),
  };
}

/** Where each field's errors may say they belong: in the request's words, or in the job file's. */
const NAMES = {
  id: ["id", "job"], name: ["name"], customer: ["customer"], shorthand: ["shorthand", "line.shorthand", "spec", "line.finished", "line.servings"],
  kind: ["kind", "line.kind"], bowKind: ["bow.kind"], bowName: ["bow.name"], drawWeight: ["bow.draw_weight"],
  bowLength: ["bow.bow_length"], braceHeight: ["bow.brace_height"], braceWanted: ["bow.wanted.brace_height"], drawLength: ["bow.draw_length"], nockHeight: ["bow.nock_height"],
  crossbow: ["bow.crossbow"], rail: ["bow.rail"], reinforced: ["reinforced", "line.zero_end.reinforced", "line.far_end.reinforced"],
  bundles: ["line.laid.bundles", "line.laid"], made: ["line.yoke.made"], leg: ["line.yoke.leg", "line.yoke"], span: ["line.yoke.span"],
  strand: ["strand", "makeup.strand"], thread: ["thread"], centreThread: ["centre_thread"],
  tolerance: ["tolerance", "line.tolerance"], loop: ["loop", "line.zero_end.size", "line.far_end.size"], twist: ["twist", "makeup.twist"],
  colours: ["colours", "makeup.colours", "strands", "makeup.strands"],
  bench: ["bench"], benchName: ["bench.name"], zeroPost: ["bench.zero_post", "zero_post"], longest: ["bench.longest", "longest"],
  between: ["bench.arms.between", "arms.between"], innerPost: ["bench.arms.post", "arms.post"], pivot: ["bench.arms.pivot", "arms.pivot"], jig: ["bench.arms", "arms"],
  gauge: ["bench.gauge", "gauge"], rating: ["bench.rating", "rating"],
};

const OF_BENCH = ["benchName", "zeroPost", "longest", "gauge", "rating", "jig", "between", "innerPost", "pivot"];

/**
 * Stand each error at its field.
 * @param {import("../lib/api.js").FieldError[]} errors
 * @param {boolean} [ownBench] whether the bench's fields stand on the page; otherwise its errors stand where it is chosen
 * @returns {{at: Record<string, import("../lib/api.js").FieldError>, elsewhere: import("../lib/api.js").FieldError[]}}
 */
export function placed(errors, ownBench = true) {
  const at = /** @type {Record<string, any>} */ ({});
  const elsewhere = [];
  for (const error of errors) {
    const [field] = Object.entries(NAMES).find(([, names]) => names.some((name) => error.field === name))
      ?? Object.entries(NAMES).find(([, names]) => names.some((name) => error.field.startsWith(`${name}[`) || error.field.startsWith(`${name}.`))) ?? [""];
    if (!ownBench && OF_BENCH.includes(field)) {
      at.bench ??= { ...error, given: undefined, rule: `${error.field.replace(/^bench\./, "")}, ${error.given}: ${error.rule}` };
      continue;
    }
    const same = at[field]?.rule === error.rule && at[field]?.given === error.given;
    if (field === "" || (field in at && !same)) elsewhere.push(error);
    else if (!same) at[field] = error;
  }
  return { at, elsewhere };
}

/** @param {string} typed @returns {number|string} what is no whole number is left for the program to refuse */
const asCount = (typed) => (/^\d+$/.test(typed.trim()) ? Number(typed) : typed);
