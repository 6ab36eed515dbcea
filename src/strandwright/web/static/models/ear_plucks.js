// Plucks in a row: which of them tell of one load. Pure.

/** Plucks agree within this share of their pitch; a load within twice that. */
const AGREED = 0.01;
/** So many that agree are enough. */
export const ENOUGH = 3;
/** A row of more is no help. */
export const MOST = 8;

/** @typedef {{key: number, name: string, hearing: any, over: boolean}} Pluck over: no more comes of it */

/**
 * The newest plucks that sound alike: what sounded otherwise before them was another load.
 * @param {Pluck[]} heard oldest first, each with a pitch
 * @returns {Pluck[]}
 */
export function newestAlike(heard) {
  const isAlike = (p) => Math.abs(p.hearing.pitch / heard.at(-1).hearing.pitch - 1) <= AGREED;
  return heard.slice(1 + heard.findLastIndex((p) => !isAlike(p)));
}
