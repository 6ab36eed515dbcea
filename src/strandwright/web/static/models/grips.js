/** Where the grips of a strip lie, and how far they may be moved: plain arithmetic on the drawing. */

/** @typedef {{kind: string, field: string, name: string, at_m: number, x: number, at_text: string,
 *   low_m: number, high_m: number}} Handle */

/**
 * Give every grip a width to be taken by: as wanted where there is room, never over a neighbour's.
 * @param {number[]} xs where the grips stand, in any order [px]
 * @param {number} [wanted] [px]
 * @returns {{left: number, right: number}[]} in the order given [px]
 */
export function reaches(xs, wanted = 44) {
  const order = xs.map((_, k) => k).sort((a, b) => xs[a] - xs[b] || a - b);
  const found = new Array(xs.length);
  order.forEach((k, n) => {
    const before = n > 0 ? (xs[k] - xs[order[n - 1]]) / 2 : Infinity;
    const after = n < order.length - 1 ? (xs[order[n + 1]] - xs[k]) / 2 : Infinity;
    const right = Math.min(after, Math.max(wanted / 2, wanted - before));
    const left = Math.min(before, Math.max(wanted / 2, wanted - right));
    found[k] = { left: xs[k] - left, right: xs[k] + right };
  });
  return found;
}

/**
 * Put a place on the shop's step, within what is allowed.
 * @param {Pick<Handle, "low_m"|"high_m">} handle
 * @param {number} at_m
 * @param {number} snap_m
 * @returns {number} [m]
 */
export function snapped(handle, at_m, snap_m) {
  const low = Math.ceil(handle.low_m / snap_m - 1e-6);
  const high = Math.floor(handle.high_m / snap_m + 1e-6);
  return Math.min(Math.max(Math.round(at_m / snap_m), low), Math.max(high, low)) * snap_m;
}

/**
 * Say where a key moves a grip to.
 * @param {{key: string, shiftKey: boolean}} event
 * @param {Handle} handle
 * @param {number} at_m where it is
 * @param {number} snap_m one step
 * @param {number} many steps in one inch, or ten
 * @returns {number|null} null if the key moves nothing [m]
 */
export function movedByKey(event, handle, at_m, snap_m, many) {
  const step = (event.shiftKey ? many : 1) * snap_m;
  const to = {
    ArrowRight: at_m + step, ArrowUp: at_m + step, ArrowLeft: at_m - step, ArrowDown: at_m - step,
    PageUp: at_m + many * snap_m, PageDown: at_m - many * snap_m, Home: handle.low_m, End: handle.high_m,
  }[event.key];
  return to === undefined ? null : snapped(handle, to, snap_m);
}
