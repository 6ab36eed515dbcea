// The jig as it stands: the last advice with the acts that came after it. Pure.
//
// The bench computer knows the line; this only counts. So that hands can go on while it is silent,
// acts not yet acknowledged are laid over its last advice: counts and done steps change at once,
// lengths and turns wanted wait for it.

/**
 * Lay acts over advice.
 * @param {object} advice the last advice
 * @param {object[]} pending events not in that advice, in order
 * @param {object[]} done events known to be in that advice
 * @returns {object} steps, act, winding, turns, lastLaid, lastTurned, over, unheard, question
 */
export function project(advice, pending, done = []) {
  const acts = new Acts(advice, pending, done);
  const winding = { ...advice.winding, runs: acts.runs() };
  winding.strands_laid = winding.runs.reduce((sum, run) => sum + run.laid, 0);
  const turns = { ...advice.turns, in: acts.turns() };
  const steps = advice.steps.map((step) => acts.stepNow(step, winding, turns));
  const ended = acts.fresh.find((e) => e.type === "locked" || e.type === "put-aside");
  const over = advice.over || ended !== undefined;
  const act = over ? null : actNow(advice, steps, acts);
  return {
    steps, act, winding, turns, over,
    aside: ended ? ended.type === "put-aside" : advice.verdict === "put aside",
    lastLaid: acts.lastLaid(),
    lastTurned: acts.last("turned"),
    waiting: pending.length,
    unknown: acts.unknown,
    // A reading may be asked about; until it is heard nothing is built on it.
    unheard: acts.last("length-read", acts.fresh),
    question: advice.question && !acts.gone.has(advice.question.event) ? advice.question : null,
  };
}

/** The half rounds of a run that are laid in one piece, for the segments: 7 gives [2, 2, 2, 1]. */
export function segments(halves, planned, piece = 2) {
  const count = Math.ceil(Math.max(halves, planned) / piece);
  return Array.from({ length: count }, (_, i) => ({
    laid: Math.min(piece, Math.max(0, halves - piece * i)),
    size: Math.min(piece, Math.max(halves, planned) - piece * i),
    extra: piece * i >= planned,
  }));
}

/** How much of a run, as it is counted: whole strands cut on a board, or rounds by halves. */
export function counted(run, halves) {
  return run.counts === "strands" ? `${halves}` : halvesText(halves);
}

/** Halves as people say them: 7 gives "3 1/2". */
export function halvesText(halves) {
  const whole = Math.trunc(halves / 2);
  if (halves % 2 === 0) return `${whole}`;
  return whole === 0 ? "1/2" : `${whole} 1/2`;
}

/** What to warn of when this many half rounds are still to come of a run. */
export function comingUp(runs, index) {
  const run = runs[index];
  const left = run.halves - run.laid;
  const next = runs[index + 1];
  const strands = run.counts === "strands";
  if (left <= 0 || left > (strands ? 1 : 2)) return "";
  const last = strands ? "One strand more" : left === 2 ? "One round more" : "Half a round more";
  return next ? `${last}, then the ${next.name}` : `${last}, then stop: that is all of them`;
}

class Acts {
  constructor(advice, pending, done) {
    this.advice = advice;
    this.pending = pending;
    const before = done.filter((e) => e.type === "withdrawn").map((e) => e.body.event);
    const now = pending.filter((e) => e.type === "withdrawn").map((e) => e.body.event);
    this.goneBefore = new Set(before);
    this.gone = new Set(now);
    const waits = new Set(pending.map((e) => e.id));
    // Acts of the queue that count, and acts of the advice that no longer do.
    this.fresh = pending.filter((e) => e.type !== "withdrawn" && !this.gone.has(e.id));
    this.undone = done.filter(
      (e) => this.gone.has(e.id) && !this.goneBefore.has(e.id) && !waits.has(e.id),
    );
    this.standing = done.filter(
      (e) => !this.gone.has(e.id) && !this.goneBefore.has(e.id) && !waits.has(e.id),
    );
    const known = new Set([...done, ...pending].map((e) => e.id));
    // Withdrawn acts nobody here knows: their effect shows only when the answer comes.
    this.unknown = now.filter((id) => !known.has(id)).length;
  }

  runs() {
    return this.advice.winding.runs.map((run) => {
      const sum = (events) =>
        events
          .filter((e) => e.type === "rounds-laid" && e.body.run === run.run)
          .reduce((total, e) => total + e.body.halves, 0);
      return { ...run, laid: Math.max(0, run.laid + sum(this.fresh) - sum(this.undone)) };
    });
  }

  turns() {
    const fresh = this.fresh.findLast((e) => e.type === "turned");
    if (fresh) return fresh.body.turns;
    if (!this.undone.some((e) => e.type === "turned")) return this.advice.turns.in;
    return this.standing.findLast((e) => e.type === "turned")?.body.turns ?? 0;
  }

  /** The last act of a type that counts, or null: {id, body} where it is known here. */
  last(type, among = [...this.standing, ...this.fresh]) {
    return among.findLast((e) => e.type === type) ?? null;
  }

  lastLaid() {
    const fresh = this.fresh.findLast((e) => e.type === "rounds-laid");
    if (fresh) return fresh.id;
    const told = this.advice.winding.last_laid;
    if (told && !this.gone.has(told)) return told;
    return this.standing.findLast((e) => e.type === "rounds-laid")?.id ?? "";
  }

  stepNow(step, winding, turns) {
    const done = this.#isDone(step, winding, turns);
    return { ...step, done, waiting: done !== step.done };
  }

  #isDone(step, winding, turns) {
    const acted = (test) => this.fresh.some(test);
    const undone = (test) => this.undone.some(test);
    const test = testOf(step);
    if (step.key === "wind") {
      if (acted(test) || undone(test)) {
        const run = winding.runs.find((r) => r.run === step.run);
        return run !== undefined && run.laid >= run.halves;
      }
      return step.done;
    }
    // A proof is a judgement: nobody but the bench computer passes it.
    if (step.key === "proof") return step.done && !undone(test);
    // So is a match of two legs, unless a hand says to go on as they are.
    if (step.key === "match") return acted((e) => test(e) && e.type === "step-done") || (step.done && !undone(test));
    if (step.key === "twist" && acted(test)) return turns.in >= (step.turns ?? Infinity) - 0.25;
    if (acted(test)) return true;
    return step.done && !undone(test);
  }
}

/** Gives the test that an act belongs to a step. */
export function testOf(step) {
  switch (step.key) {
    case "posts":
      return (e) => e.type === "posts-set";
    case "wind":
      return (e) => e.type === "rounds-laid" && e.body.run === step.run;
    case "read":
      return (e) => e.type === "length-read" && e.body.stage === step.stage;
    case "twist":
      return (e) => e.type === "turned";
    case "proof":
      return (e) => e.type === "length-read" && e.body.stage === "proof";
    case "tag":
      return (e) => e.type === "locked";
    case "match":
      return (e) => e.type === "legs-read" || (e.type === "step-done" && e.body.step === step.id);
    default:
      return (e) => e.type === "step-done" && e.body.step === step.id;
  }
}

const ASKS = {
  posts: "posts", wind: "count", read: "length", twist: "turns", serve: "serve", proof: "length", tag: "lock",
  match: "legs",
};

/** What a step asks for, where the bench computer has not put it into words yet. */
export function askOf(step) {
  return {
    kind: ASKS[step.key] ?? "done",
    stage: step.stage,
    turns: step.turns,
    suggest: step.key === "posts" ? step.headline : "",
  };
}

/** The next act: the bench computer's while it still stands, else the next step not done. */
function actNow(advice, steps, acts) {
  const told = advice.act;
  const touched = acts.fresh.length > 0 || acts.undone.length > 0;
  if (!touched) return told;
  const step = told && steps.find((s) => s.id === told.step);
  const next = steps.find((s) => !s.done);
  const proof = acts.fresh.some((e) => e.type === "length-read" && e.body.stage === "proof");
  const legs = acts.fresh.some((e) => e.type === "legs-read");
  if (step && !step.done && next?.id === step.id && !proof) return legs ? { ...told, waits: true } : told;
  if (!next) return null;
  const ask = askOf(next);
  // Numbers of a step that follows a turn may change once the answer is there.
  const waits = acts.fresh.some((e) => e.type === "turned");
  return { ...next, step: next.id, why: [], ask, behind: true, waits };
}
