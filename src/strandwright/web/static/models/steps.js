/** Steps of a length as they are written: sixteenths of an inch, or whole millimetres. */

/**
 * Go some steps on from a length, to the grid of the steps.
 * @param {number} metres
 * @param {number} steps
 * @param {number} step_m
 * @param {string} units `in` or `mm`
 * @returns {{text: string, metres: number}} no text for nothing
 */
export function steppedText(metres, steps, step_m, units) {
  const at = metres / step_m;
  const count = (steps > 0 ? Math.floor(at + 1e-6) : Math.ceil(at - 1e-6)) + steps;
  return { text: count === 0 ? "" : `${units === "in" ? sixteenths(count) : count} ${units}`, metres: count * step_m };
}

/**
 * Write sixteenths as people say them.
 * @param {number} count
 * @returns {string} such as `-1 3/8`
 */
export function sixteenths(count) {
  const all = Math.abs(count);
  const whole = Math.floor(all / 16);
  let [over, under] = [all % 16, 16];
  while (over > 0 && over % 2 === 0) { over /= 2; under /= 2; }
  const parts = [whole > 0 || over === 0 ? String(whole) : "", over > 0 ? `${over}/${under}` : ""];
  return `${count < 0 ? "-" : ""}${parts.filter((part) => part !== "").join(" ")}`;
}

/**
 * Read turns as people write them: `2`, `1 1/2`, `-0.5`.
 * @param {string} text
 * @returns {number|null} null if it is none
 */
export function readTurns(text) {
  const plain = text.trim().replace("\u2212", "-").replace("½", " 1/2").replace(/^([+-]?)\s+/, "$1");
  const mixed = /^([+-]?)(?:(\d+)[ -]+)?(\d+)\/(\d+)$/.exec(plain);
  if (mixed !== null) {
    const [, sign, whole = "0", over, under] = mixed;
    if (Number(under) === 0) return null;
    return (sign === "-" ? -1 : 1) * (Number(whole) + Number(over) / Number(under));
  }
  return /^[+-]?(\d+\.?\d*|\.\d+)$/.test(plain) ? Number(plain) : null;
}

/**
 * A count as the job file holds it; what is none is left as it was typed, to be refused with its reason.
 * @param {string} typed `3`, `2 1/4`
 * @returns {number|string}
 */
export function numberOrText(typed) {
  const count = readTurns(typed);
  // What is too large for a number would be sent as nothing, and so taken out.
  return count === null || !Number.isFinite(count) ? typed : count;
}
