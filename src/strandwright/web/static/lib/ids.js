/** Ids made here, so that a repeated request is known to be the same one. */

/**
 * Give 128 random bits as 32 hexadecimal digits.
 * @returns {string}
 */
export function newId() {
  // Not randomUUID: that is missing where the page is not on a loopback name.
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
}

/**
 * Give the present moment as it is written in requests.
 * @returns {string} ISO 8601, UTC
 */
export function nowText() {
  return new Date().toISOString();
}
