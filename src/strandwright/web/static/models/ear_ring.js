// The last seconds of sound with their loudness, and where in them a line was plucked. Pure.

/** Length of sound kept [s]. */
export const KEPT = 6;
/** A step of the loudness [s]; four of them are looked at together, so that a slow swing is no pluck. */
export const STEP = 0.01;
const TOGETHER = 4;
/** A pluck is this much louder than anything just before, and than the room [dB]. */
const JUMP = 6;
/** Looked back so far: two swings that beat rise as steeply, but were as loud before they faded [s]. */
const SINCE = 0.25;
const ABOVE_ROOM = 12;
/** Nor softer than this under the pluck before, while that one rings [dB]. */
const UNDER_LAST = 12;
/** No two plucks come closer [s]. */
const APART = 0.35;
/** The room seems this much louder with every second that something is heard [dB/s]. */
const ROOM_RISES = 2;
const SILENCE = -100;
/** No room is stiller than this to a microphone: one that sends nothing at first is only being switched on [dB]. */
const STILLEST = -75;

const decibel = (power) => Math.max(SILENCE, 10 * Math.log10(power + 1e-12));

export class Ring {
  /** @param {number} rate samples in a second */
  constructor(rate) {
    this.rate = rate;
    this.heard = 0; // samples so far
    this.levels = []; // [dB re full scale] one for each step, of the last seconds
    this.peaks = []; // greatest sample of each step
    this.steps = 0; // steps so far
    this.room = null;
    this.onset = null; // of the last pluck, in samples
    this.loudest = SILENCE; // since that pluck
    this.samples = new Float32Array(Math.ceil(KEPT * rate));
    this.step = { size: Math.round(STEP * rate), filled: 0, power: 0, peak: 0 };
    this.powers = [];
  }

  /**
   * Take samples in.
   * @param {Float32Array} piece
   * @returns {number|null} where a pluck began in them, in samples from the very first
   */
  take(piece) {
    let onset = null;
    for (const sample of piece) {
      this.samples[this.heard % this.samples.length] = sample;
      this.heard += 1;
      const { step } = this;
      step.power += sample * sample;
      step.peak = Math.max(step.peak, Math.abs(sample));
      step.filled += 1;
      if (step.filled === step.size && this.#stepped()) onset = this.onset;
    }
    return onset;
  }

  /**
   * Give a part of what is kept, as far as it is still there.
   * @param {number} from samples from the very first
   * @param {number} to
   */
  part(from, to = this.heard) {
    const start = Math.max(0, Math.round(from), this.heard - this.samples.length);
    const given = new Float32Array(Math.max(0, Math.min(this.heard, Math.round(to)) - start));
    for (let i = 0; i < given.length; i += 1) given[i] = this.samples[(start + i) % this.samples.length];
    return given;
  }

  /** Whether the last pluck has died away [dB re its loudest, or near the room]. */
  get faded() {
    const now = this.levels.at(-1) ?? SILENCE;
    return this.onset !== null && (now < this.loudest - 40 || now < (this.room ?? SILENCE) + 4);
  }

  /** The greatest sample of the last while [s]. */
  peak(over) {
    return Math.max(0, ...this.peaks.slice(-Math.round(over / STEP)));
  }

  #stepped() {
    const { step } = this;
    this.powers = [...this.powers.slice(1 - TOGETHER), step.power / step.size];
    const level = decibel(this.powers.reduce((sum, power) => sum + power, 0) / this.powers.length);
    const most = Math.round(KEPT / STEP);
    this.levels.push(level);
    this.peaks.push(step.peak);
    if (this.levels.length > most) { this.levels.shift(); this.peaks.shift(); }
    Object.assign(step, { filled: 0, power: 0, peak: 0 });
    this.steps += 1;
    const plucked = this.#isPluck(level);
    this.room = Math.max(STILLEST, this.room === null ? level : Math.min(level, this.room + ROOM_RISES * STEP));
    this.loudest = plucked ? level : Math.max(this.loudest, level);
    return plucked;
  }

  #isPluck(level) {
    // A microphone clicks as it is switched on; the room is not known before some of it was heard.
    if (this.steps * STEP < SINCE) return false;
    const last = this.levels.length - 2 * TOGETHER;
    const before = Math.max(...this.levels.slice(Math.max(0, last - Math.round(SINCE / STEP)), last));
    const begun = this.heard - TOGETHER * this.step.size;
    if (this.onset !== null && begun - this.onset < APART * this.rate) return false;
    if (level < this.room + ABOVE_ROOM || level < before + JUMP) return false;
    if (this.onset !== null && !this.faded && level < this.loudest - UNDER_LAST) return false;
    this.onset = Math.max(0, begun);
    return true;
  }
}
