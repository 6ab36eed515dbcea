/** A matched spare: a new job from the record of a finished build, under an id of its own. */
import { ApiError, post } from "../lib/api.js";
import { followingId } from "./again.js";

const MOST_TRIES = 60;

/**
 * Make the job of a matched spare.
 * @param {{id: string, job: string, name: string}} build
 * @returns {Promise<any>} what was taken from the record, and in what it differs
 * @throws {ApiError} where it cannot be made
 */
export async function makeSpare(build) {
  let next = followingId(build.job);
  for (let tries = 0; ; tries += 1) {
    try {
      return await post(`/api/builds/${encodeURIComponent(build.id)}/spare`, { id: next, name: build.name });
    } catch (error) {
      // An id that is taken is told of a job; a build that is not finished of the build.
      const taken = error instanceof ApiError && error.status === 409 && error.errors[0]?.field === "job";
      if (!taken || tries >= MOST_TRIES) throw error;
      next = followingId(next);
    }
  }
}
