/** Requests to the program on this computer; every failure becomes one kind of error with words. */

/** @typedef {{field: string, given: unknown, rule: string, remedy: string}} FieldError */

/** What went wrong with a request, in words that can be shown. */
export class ApiError extends Error {
  /**
   * @param {string} said one sentence
   * @param {{status?: number, errors?: FieldError[], body?: any}} [facts]
   *   status 0: no answer came (the program is not running, or the line to it broke)
   */
  constructor(said, { status = 0, errors = [], body = null } = {}) {
    super(said);
    this.name = "ApiError";
    this.status = status;
    this.errors = errors;
    this.body = body;
  }

  /** True if trying the same again later may work. */
  get mayPass() {
    return this.status === 0 || this.status === 503;
  }
}

let received = 0;

/** When the last answer's text was here, on the page's own clock, for measuring what follows [ms]. */
export const lastReceived = () => received;

const NO_ANSWER = "The program does not answer. Start strandwright again on this computer, "
  + "then try once more; nothing on this page is lost.";

/**
 * Send a request and read the answer.
 * @param {string} method
 * @param {string} path
 * @param {unknown} [body] sent as JSON
 * @param {{signal?: AbortSignal}} [options]
 * @returns {Promise<any>}
 * @throws {ApiError} also where no answer came
 */
export async function ask(method, path, body = undefined, { signal } = {}) {
  const request = { method, signal, headers: { Accept: "application/json" } };
  if (body !== undefined) {
    request.headers["Content-Type"] = "application/json";
    request.body = JSON.stringify(body);
  }
  let answer, text;
  try {
    answer = await fetch(path, request);
    text = await answer.text();
    received = performance.now();
  } catch (error) {
    if (error instanceof DOMException && error.name === "AbortError") throw error;
    throw new ApiError(NO_ANSWER);
  }
  // Told, not handled: where there is a door it stands behind this page and comes forward.
  if (answer.status === 401) dispatchEvent(new Event("strandwright:signed-out"));
  const read = parsed(text);
  if (answer.ok && read !== undefined) return read;
  throw new ApiError(saidBy(read, answer.status), {
    status: answer.status, errors: Array.isArray(read?.errors) ? read.errors : [], body: read ?? null,
  });
}

/** @param {string} path @param {{signal?: AbortSignal}} [options] */
export const get = (path, options) => ask("GET", path, undefined, options);
/** @param {string} path @param {unknown} body */
export const post = (path, body) => ask("POST", path, body);
/** @param {string} path @param {unknown} body */
export const put = (path, body) => ask("PUT", path, body);

/** @param {string} text @returns {any} undefined if it is not JSON */
function parsed(text) {
  if (text === "") return null;
  try { return JSON.parse(text); } catch { return undefined; }
}

/** @param {any} body @param {number} status @returns {string} */
function saidBy(body, status) {
  if (typeof body?.said === "string" && body.said !== "") return body.said;
  if (status === 404) return "This is not kept here.";
  return `The program answered with ${status} and no reason.`;
}
