// What is heard of a line at one step: opened, plucked, answered, put together, let go.

import { batch, computed, signal } from "@preact/signals";

import { EarWire } from "./ear_wire.js";
import { NoMicrophone, openMicrophone } from "./ear_microphone.js";
import { ENOUGH, MOST, newestAlike } from "./ear_plucks.js";
import { Ring } from "./ear_ring.js";
import { soundKind, wavOf } from "./ear_wav.js";
import { Latest } from "./latest.js";

/** So long after a pluck the bench computer is asked, so that the load stands early and narrows [s]. */
const LOOKS = [0.45, 1, 2];
/** What is sent begins this long before the pluck [s]. */
const BEFORE = 0.15;
const LOUD = 0.985;
const SOFT = 0.01;

/**
 * @typedef {import("./ear_plucks.js").Pluck} Pluck
 * @typedef {{said: string, remedy?: string, errors?: {field: string, rule: string, remedy: string}[]}} Trouble
 */

export class Ear {
  #wire; #microphone = null; #latest; #together; #count = 0; #asks = 0; #turn = 0;
  /** @type {Ring|null} */ ring = null;
  /** @type {{key: number, onset: number, look: number, peak: number}|null} */ #now = null;
  /** @type {import("@preact/signals").Signal<"shut"|"asking"|"open"|"none">} */ state = signal("shut");
  /** What the bench computer expects. */ expected = signal(/** @type {any} */ (null));
  /** @type {import("@preact/signals").Signal<Pluck[]>} */ plucks = signal([]);
  /** What the plucks give together. */ together = signal(/** @type {any} */ (null));
  /** @type {import("@preact/signals").Signal<Trouble|null>} */ trouble = signal(null);
  /** Why there is no microphone. @type {import("@preact/signals").Signal<Trouble|null>} */ missing = signal(null);
  /** Too soft, too loud. */ level = signal("");
  /** Processing that the browser left on. */ kept = signal(/** @type {string[]} */ ([]));
  /** Whether a file is on its way. */ reading = signal(false);

  heard = computed(() => this.plucks.value.filter((p) => p.hearing?.heard));
  last = computed(() => this.plucks.value.findLast((p) => p.hearing !== null && (p.hearing.heard || p.over)) ?? null);
  alike = computed(() => newestAlike(this.heard.value.filter((p) => p.over)));
  /** Whether enough plucks agree. */
  agreed = computed(() => this.alike.value.length >= ENOUGH);
  /** How many more are wanted. */
  wanted = computed(() => Math.max(0, ENOUGH - this.alike.value.length));
  /** What would go into the load's field. */
  entry = computed(() => this.#told()?.load_entry ?? "");
  /** The same as if nothing had been checked before: what a check of the ear takes. */
  checkEntry = computed(() => this.#told()?.check_entry ?? "");

  /** @param {string} build @param {string} step */
  constructor(build, step) {
    this.#wire = new EarWire(build, step);
    /** The step at which the line is heard. */ this.step = step;
    const nextNumber = () => { this.#asks += 1; return this.#asks; };
    this.#latest = new Latest({
      nextNumber,
      send: ({ sound }) => this.#wire.hear(sound()), // a file is written only for what is really sent
      show: (hearing, wish) => this.#answered(wish, hearing),
      fail: (error, wish) => this.#failed(error, wish),
    });
    this.#together = new Latest({
      nextNumber,
      send: (plucks) => this.#wire.together(plucks),
      show: (together) => { this.together.value = together; },
      fail: (error) => { this.trouble.value = told(error); },
    });
  }

  async open() {
    this.#turn += 1;
    const turn = this.#turn;
    batch(() => { this.state.value = "asking"; this.missing.value = null; this.trouble.value = null; });
    this.#wire.expected().then(
      (expected) => { if (turn === this.#turn) this.#expects(expected); },
      (error) => { if (turn === this.#turn) this.trouble.value = told(error); });
    try {
      const microphone = await openMicrophone({ onPiece: (piece) => this.#take(piece), onEnd: () => this.#ended() });
      if (turn !== this.#turn) return microphone.close(); // shut again while the browser asked
      this.#microphone = microphone;
      this.ring = new Ring(microphone.rate);
      batch(() => { this.kept.value = microphone.kept; this.state.value = "open"; });
    } catch (error) {
      if (turn !== this.#turn) return;
      if (!(error instanceof NoMicrophone)) throw error;
      this.missing.value = { said: error.message, remedy: error.remedy };
      this.state.value = "none";
    }
  }

  /** Let the microphone go; what was heard stays. */
  shut() {
    this.#turn += 1;
    this.#finish();
    this.#microphone?.close();
    this.#microphone = null;
    this.state.value = "shut";
  }

  /** @param {any} expected */
  #expects(expected) {
    this.expected.value = expected;
    if (!expected.why_not) return;
    // A line that cannot be heard at this step needs no microphone.
    this.shut();
    batch(() => { this.missing.value = null; this.state.value = "none"; });
  }

  get analyser() { return this.#microphone?.analyser ?? null; }

  /** Take a recording. @param {File} file */
  async bring(file) {
    this.trouble.value = null;
    const type = await soundKind(file);
    if (type === "") {
      this.trouble.value = { said: `${file.name} is neither a WAV nor a FLAC file.`, remedy: "Record as WAV or FLAC; other kinds leave out of a sound what is needed here." };
      return;
    }
    this.reading.value = true;
    this.#latest.offer({ key: this.#begin(file.name), look: 0, sound: () => file.slice(0, file.size, type), over: true });
  }

  /** Leave a pluck out. @param {number} key */
  drop(key) {
    this.plucks.value = this.plucks.value.filter((p) => p.key !== key);
    this.#putTogether();
  }

  #ended() {
    this.shut();
    this.missing.value = { said: "The microphone is gone.", remedy: "Plug it in and ask again; or bring a recording." };
    this.state.value = "none";
  }

  #take(piece) {
    const { ring } = this;
    if (ring === null || this.#microphone === null) return;
    const onset = ring.take(piece);
    if (onset !== null) {
      this.#finish();
      this.#now = { key: this.#begin(""), onset, look: 0, peak: 0 };
    }
    const now = this.#now;
    if (now === null) return;
    now.peak = Math.max(now.peak, ring.peak(0.3));
    this.level.value = now.peak > LOUD ? "loud" : now.peak < SOFT ? "soft" : "";
    if (ring.heard >= now.onset + LOOKS[now.look] * ring.rate) this.#look(now);
    else if (ring.faded && now.look > 0) this.#finish();
  }

  /** Ask what is heard so far of this pluck. */
  #look(now) {
    const { rate } = this.ring;
    const { key, onset, look } = now;
    performance.mark("ear:samples", { detail: { key, look } });
    const samples = this.ring.part(onset - BEFORE * rate, onset + LOOKS[look] * rate);
    now.look += 1;
    const over = now.look === LOOKS.length || this.ring.faded;
    if (over) this.#now = null;
    this.#latest.offer({ key, look, sound: () => wavOf(samples, rate), over });
  }

  /** No more comes of this pluck. */
  #finish() {
    const now = this.#now;
    this.#now = null;
    if (now === null) return;
    if (now.look === 0) this.drop(now.key);
    else this.#change(now.key, { over: true });
  }

  #begin(name) {
    this.#count += 1;
    const before = this.plucks.value.slice(1 - MOST).map((p) => ({ ...p, over: true }));
    this.plucks.value = [...before, { key: this.#count, name, hearing: null, over: false }];
    return this.#count;
  }

  #answered({ key, look, over }, hearing) {
    performance.mark("ear:answered", { detail: { key, look } });
    batch(() => {
      this.reading.value = false;
      this.trouble.value = null;
      this.#change(key, { hearing, over });
    });
  }

  #failed(error, { key }) {
    batch(() => {
      this.reading.value = false;
      this.trouble.value = told(error);
      this.plucks.value = this.plucks.value.filter((p) => p.key !== key || p.hearing !== null);
    });
  }

  #change(key, facts) {
    this.plucks.value = this.plucks.value.map((p) => (p.key === key ? { ...p, ...facts, over: p.over || facts.over } : p));
    this.#putTogether();
  }

  /** The answer that counts: of several alike together, or of the one. */
  #told() {
    const [first, second] = this.alike.value;
    return second ? this.together.value : first?.hearing;
  }

  #putTogether() {
    const alike = this.alike.value;
    if (alike.length > 1) return this.#together.offer(alike.map((p) => p.hearing.pluck));
    this.#together.settle(this.#asks);
    this.together.value = null;
  }
}

/** @param {any} error @returns {Trouble} */
const told = (error) => ({ said: error.message, errors: error.errors ?? [] });
