/** A bow that is known already, taken for a further line: what it fills in, and what comes along unseen. */

/** @typedef {import("./new_line_draft.js").NewLine} NewLine */
/** @typedef {{source: string, of: string, customer: string, saved_at: string, bow: Record<string, any>, jobs: string[]}} KnownBow */

/** The page's fields of the bow, by the names of the job file. */
const FIELDS = {
  bowKind: "kind", bowName: "name", drawWeight: "draw_weight", bowLength: "bow_length", braceHeight: "brace_height",
  drawLength: "draw_length", nockHeight: "nock_height", crossbow: "crossbow", rail: "rail",
};
/** These stand on the page for every kind of bow; others for their own only. */
const ALWAYS = ["bowKind", "bowName", "drawWeight"];
const OF_KIND = { recurve: ["bowLength", "braceHeight", "drawLength", "nockHeight"], crossbow: ["crossbow", "rail"] };
OF_KIND.longbow = OF_KIND.recurve;

/** What tells a known bow from another: a job and a bow may have one id. @param {KnownBow} bow */
export const keyOf = (bow) => `${bow.jobs.length > 0 ? "job" : "bow"} ${bow.source}`;

/** @param {KnownBow} bow */
export const labelOf = ({ bow, of, source, jobs }) => [
  [bow.name || bow.kind, bow.name ? bow.kind : "", bow.draw_weight].filter(Boolean).join(", "), jobs.length > 0 ? `${of}, ${source}` : "kept by itself"].join(" · ");

/** @param {NewLine} line @returns {Partial<NewLine>} what is typed of the bow, and where it comes from */
function typedOf(line) {
  const fields = [...Object.keys(FIELDS), "braceWanted", "bowTables", "customer"];
  return Object.fromEntries(fields.map((field) => [field, line[field]]));
}

/**
 * Take a bow; what was typed under the choice before comes back with that choice.
 * @param {NewLine} line
 * @param {string} key empty for what is typed here
 * @param {KnownBow|undefined} known
 * @returns {Partial<NewLine>}
 */
export function taken(line, key, known) {
  const bowsTyped = { ...line.bowsTyped, [line.bowFrom]: typedOf(line) };
  const before = bowsTyped[key] ?? (known ? filled(known, bowsTyped[""] ?? typedOf(line)) : {});
  return { ...before, bowFrom: key, bowsTyped };
}

/** @param {KnownBow} known @param {Partial<NewLine>} own what was typed with no bow chosen */
function filled({ bow, customer }, own) {
  const fields = Object.entries(FIELDS).map(([field, name]) => [field, String(bow[name] ?? "")]);
  return { ...Object.fromEntries(fields), braceWanted: String(bow.wanted?.brace_height ?? ""), bowTables: bow, customer: own.customer || customer };
}

/** A line of an order: its bow and its customer are filled in, and it goes to the order. @param {NewLine} line @param {any} page @param {{event: string, at: string}} head of the event that adds it @returns {Partial<NewLine>} */
export function ofOrder(line, page, head) {
  const bow = page.bow ?? {};
  const bowsTyped = { ...line.bowsTyped, [line.bowFrom]: typedOf(line) };
  const customer = page.customer?.name ?? "";
  return { ...filled({ bow, customer }, { customer }), bowFrom: "", bowsTyped, order: { id: page.id, number: page.number, name: customer, ...head } };
}

/** What of a chosen bow stands in no field of the page; nothing once its kind is another. @param {NewLine} line @param {Record<string, any>} shown */
function along(line, shown) {
  const bow = line.bowTables;
  if (bow === null || bow.kind !== line.bowKind) return {};
  const fields = [...ALWAYS, ...(line.kind === "string" || line.kind === "laid" ? OF_KIND[line.bowKind] ?? [] : [])];
  const names = fields.map((field) => FIELDS[field]);
  return Object.fromEntries(Object.entries(bow).filter(([name]) => !names.includes(name) && !(name in shown)));
}

/**
 * Write the bow's tables: what is typed, and what else is known of the bow that was chosen.
 * @param {NewLine} line
 * @param {Record<string, any>} shown the tables of what stands on the page
 */
export function asBow(line, shown) {
  const rest = along(line, shown);
  const isOwn = "wanted" in shown || (line.kind !== "cable" && line.kind !== "yoke" && line.bowKind in OF_KIND && line.bowKind !== "crossbow");
  const { brace_height: _, ...others } = line.bowTables?.wanted ?? {};
  const wanted = isOwn && line.bowTables?.kind === line.bowKind ? { ...others, ...shown.wanted } : shown.wanted ?? rest.wanted ?? {};
  const { wanted: _w, ...told } = { ...rest, ...shown };
  return Object.keys(wanted).length > 0 ? { ...told, wanted } : told;
}

const MORE = { tracks: "tracks", pegs: "pegs", nock: "nock", draw_board: "draw board", wanted: "what it should measure", old_or_wooden: "that it is old or wooden" };

/** Name what comes along unseen. @param {NewLine} line @returns {string[]} */
export function alongInWords(line) {
  return Object.entries(along(line, {})).filter(([name]) => name !== "wanted" || !(line.bowKind in OF_KIND))
    .map(([name, value]) => MORE[name] ?? `${name.replaceAll("_", " ")}${typeof value === "string" ? ` ${value}` : ""}`);
}
