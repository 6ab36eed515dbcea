/** A matched spare: the same job once more, under an id of its own. */
import { ApiError, post } from "../lib/api.js";

const MOST_TRIES = 60;

/**
 * Give the id that follows: `RIDGE-1` by `RIDGE-1.2`, that by `RIDGE-1.3`.
 * @param {string} id
 * @returns {string}
 */
export function followingId(id) {
  const [, stem, number] = /^(.+)\.(\d+)$/.exec(id) ?? [null, id, "1"];
  const tail = `.${Number(number) + 1}`;
  return `${String(stem).slice(0, 40 - tail.length)}${tail}`;
}

/**
 * Make a job again.
 * @param {string} id of the job
 * @param {string} name
 * @returns {Promise<string>} the new job's id
 * @throws {ApiError} where it cannot be made
 */
export async function makeAgain(id, name) {
  let next = followingId(id);
  for (let tries = 0; ; tries += 1) {
    try {
      const made = await post(`/api/jobs/${encodeURIComponent(id)}/again`, { id: next, name });
      return made.id;
    } catch (error) {
      // That id is taken: by an earlier spare. The next is tried.
      if (!(error instanceof ApiError) || error.status !== 409 || tries >= MOST_TRIES) throw error;
      next = followingId(next);
    }
  }
}
