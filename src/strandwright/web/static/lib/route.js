/** Addresses within the page: `#/line/RIDGE-1` names a screen and what it shows. */

/** @typedef {{screen: string, id: string}} Route */

const WITHOUT_ID = new Set(["jobs", "orders", "new", "done", "again", "queue", "stock", "shop", "records", "terms", "bench", "people", "phone"]);
const WITH_ID = new Set(["order", "quote", "new", "line", "set", "bow", "jig", "fit", "service", "stock", "phone"]);

/**
 * Read an address.
 * @param {string} hash as in `location.hash`
 * @returns {Route} screen `lost` if there is no such place
 */
export function readRoute(hash) {
  const [screen = "", ...rest] = hash.replace(/^#?\/?/, "").split("/");
  if (screen === "") return { screen: "jobs", id: "" };
  let id = rest.join("/");
  try { id = decodeURIComponent(id); } catch { return { screen: "lost", id: hash }; }
  if (WITHOUT_ID.has(screen) && screen !== "jobs" && id === "") return { screen, id };
  if (WITH_ID.has(screen) && id !== "") return { screen, id };
  return { screen: "lost", id: hash };
}

/**
 * Write an address.
 * @param {string} screen
 * @param {string} [id]
 * @returns {string} with its `#`
 */
export function addressOf(screen, id = "") {
  if (screen === "jobs") return "#/";
  return id === "" ? `#/${screen}` : `#/${screen}/${encodeURIComponent(id)}`;
}
