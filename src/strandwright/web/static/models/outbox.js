// The outbox: an act is on this browser's disk before anything on the screen changes, goes to the
// bench computer in order, and leaves the disk only once that computer has acknowledged it.

import { batch, signal } from "@preact/signals-core";

import { newId, nowText } from "../lib/ids.js";
import { openKeep } from "./keep.js";
import { sendSome } from "./send.js";
import { Refusal, read } from "./wire.js";

const FIRST_WAIT = 500;
const LONGEST_WAIT = 10_000;
const MOST_AT_ONCE = 100;
/** Versions of events as this page writes them, where they are not the first. */
const VERSIONS = { "length-read": 2 };

/** Changes told of within this time are one, so that a counted round is not asked about [ms]. */
const SETTLE = 300;

export class Outbox {
  /** Acts not yet acknowledged, of every build, in order: [{place, build, job, event}]. */
  pending = signal([]);
  /** Acts the bench computer would not take, with its words. */
  refused = signal([]);
  /** The last advice of the build that is followed, or null. */
  advice = signal(null);
  /** Acts of that build that were acknowledged: [{id, seq, event}]. */
  done = signal([]);
  /** Whether the bench computer answers: "yes", "asking", "no". */
  answers = signal("asking");
  /** Why acts would not outlast this page; empty where they do. */
  fleeting = signal("");
  /** Set when the disk would not take an act: nothing was counted. */
  trouble = signal("");
  /** Set when the followed build is not kept at the bench computer: its words. */
  missing = signal("");

  #keep;
  #ready;
  #build = null;
  #busy = false;
  #again = false;
  #wait = FIRST_WAIT;
  #timer = 0;
  #soon = 0;
  #channel;
  #by;

  constructor({ keep = openKeep(), by = "", channel = "strandwright" } = {}) {
    this.#by = by;
    this.#channel = new BroadcastChannel(channel);
    this.#channel.onmessage = () => this.#reload();
    this.#ready = Promise.resolve(keep).then((k) => {
      this.#keep = k;
      this.fleeting.value = k.fleeting;
    });
    addEventListener("online", () => this.nudge());
    document.addEventListener("visibilitychange", () => {
      if (document.visibilityState === "visible") this.nudge();
    });
  }

  /** Follow a build: show what is kept of it, then ask the bench computer. */
  async follow(build) {
    this.#build = build;
    batch(() => {
      this.advice.value = null;
      this.done.value = [];
      this.missing.value = "";
    });
    await this.#reload();
    this.nudge();
  }

  /** Begin a build of a job; gives the build's identity once the wish is safe. */
  async begin(job) {
    const build = newId();
    await this.#put([{ build, job, event: this.#event("started", {}) }]);
    return build;
  }

  /** Keep acts of the followed build, all or none: act(["turned", {turns: 3}], ...). */
  async act(...pairs) {
    const build = this.#build;
    const events = pairs.map(([type, body]) => this.#event(type, body));
    await this.#put(events.map((event) => ({ build, event })));
  }

  /** Try at once: something says that the bench computer may be back. */
  nudge() {
    this.#wait = FIRST_WAIT;
    this.#work();
  }

  /** Something kept has changed somewhere: ask, but not for every count of our own. */
  changed() {
    clearTimeout(this.#soon);
    this.#soon = setTimeout(() => this.#work(), SETTLE);
  }

  /** A refused act: send it again, or let it go at the technician's word. */
  async release(id, { again = false } = {}) {
    await this.#ready;
    await this.#keep.release(id, { again });
    await this.#told();
    if (again) this.nudge();
  }

  /** Learn the whole log, so that what other benches did can be taken back here too. */
  async learn() {
    const build = this.#build;
    const log = await read(`/api/builds/${build}/log.json`);
    const stored = (log.events ?? log).map((e) => ({ seq: e.seq, event: e.event ?? e }));
    await this.#ready;
    await this.#keep.learn(build, stored);
    await this.#reload();
  }

  /** Remember something small on this browser's disk. */
  async note(key, noted) {
    await this.#ready;
    await this.#keep.note(key, noted);
  }

  async noted(key) {
    await this.#ready;
    return this.#keep.noted(key);
  }

  #event(type, body) {
    return { id: newId(), type, version: VERSIONS[type] ?? 1, at: nowText(), by: this.#by, body };
  }

  async #put(items) {
    await this.#ready;
    try {
      await this.#keep.add(items);
      this.trouble.value = "";
    } catch (error) {
      this.trouble.value = `This browser could not keep it, so it does not count: ${error?.message ?? error}`;
      throw error;
    }
    await this.#told();
    this.#work();
  }

  #told() {
    this.#channel.postMessage("changed");
    return this.#reload();
  }

  /** Show what is kept: advice and pending change in the same frame, or the count would flicker. */
  async #reload() {
    await this.#ready;
    const build = this.#build;
    const kept = await this.#keep.standing(build ?? "");
    if (build !== this.#build) return;
    batch(() => {
      this.pending.value = kept.pending;
      this.refused.value = kept.refused;
      this.advice.value = kept.advice;
      this.done.value = kept.done;
    });
  }

  #work() {
    clearTimeout(this.#timer);
    if (this.#busy) {
      this.#again = true;
      return;
    }
    this.#busy = true;
    this.#round().finally(() => {
      this.#busy = false;
      if (this.#again) {
        this.#again = false;
        this.#work();
      }
    });
  }

  /** One go: send what waits; with nothing sent, ask for the advice as it stands. */
  async #round() {
    await this.#ready;
    try {
      const advised = await exclusively(() => this.#sendAll());
      if (!advised.has(this.#build)) await this.#ask();
      this.answers.value = "yes";
      this.#wait = FIRST_WAIT;
    } catch (error) {
      if (error instanceof Refusal) {
        this.answers.value = "yes";
        this.missing.value = error.said;
      } else this.#later(error);
    }
  }

  #later(error) {
    console.info("not sent yet:", error?.message ?? error);
    this.answers.value = "no";
    clearTimeout(this.#timer);
    this.#timer = setTimeout(() => this.#work(), this.#wait);
    this.#wait = Math.min(2 * this.#wait, LONGEST_WAIT);
  }

  /** Send until nothing waits; gives the builds whose advice came with it. */
  async #sendAll() {
    const advised = new Set();
    for (;;) {
      const { pending } = await this.#keep.queue();
      if (pending.length === 0) return advised;
      const { build } = pending[0];
      const some = pending.filter((item) => item.build === build).slice(0, MOST_AT_ONCE);
      const answer = await sendSome(build, some);
      await this.#keep.settle({ build, ...answer });
      if (answer.advice) advised.add(build);
      await this.#told();
    }
  }

  async #ask() {
    const build = this.#build;
    if (!build) return;
    const advice = await read(`/api/builds/${build}`);
    this.missing.value = "";
    if (await this.#keep.offer(build, advice)) await this.#told();
  }
}

/** One window sends at a time. Two would do no harm, only double work. */
function exclusively(work) {
  return navigator.locks ? navigator.locks.request("strandwright-outbox", work) : work();
}
