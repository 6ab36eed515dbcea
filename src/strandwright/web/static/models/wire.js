// The wire to the bench computer, for acts: a refusal is told apart from silence.

const PATIENCE = 15_000;
// Words that mean "not now" rather than "not this".
const NOT_NOW = new Set([401, 403, 407, 408, 421, 423, 425, 429]);

/** The bench computer answered and would not take it. */
export class Refusal extends Error {
  constructor(status, answer) {
    super(answer?.said || `refused with ${status}`);
    this.status = status;
    this.said = answer?.said || `The bench computer refused it (${status}).`;
    this.errors = answer?.errors ?? [];
  }
}

export function post(path, body) {
  return asked(path, {
    method: "POST",
    headers: { "Content-Type": "application/json" },
    body: JSON.stringify(body),
  });
}

export function read(path) {
  return asked(path, { headers: { Accept: "application/json" } });
}

/** Gives the answer; throws a Refusal, or any other error where nobody understood. */
async function asked(path, init) {
  const answer = await fetch(path, { ...init, signal: AbortSignal.timeout(PATIENCE) });
  if (answer.ok) return answer.json();
  if (answer.status === 401) dispatchEvent(new Event("strandwright:signed-out"));
  const said = await answer.json().catch(() => null);
  if (answer.status >= 400 && answer.status < 500 && !NOT_NOW.has(answer.status)) {
    throw new Refusal(answer.status, said);
  }
  throw new Error(said?.said || `the bench computer answered ${answer.status}`);
}
