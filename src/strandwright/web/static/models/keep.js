// What this browser keeps on its own disk: acts not yet acknowledged, acts that were refused,
// the last advice of each build, and the acts that were acknowledged here.
//
// One rule holds the count together: the advice kept for a build never contains an act that is
// still pending for it. So `advice + pending` is the number to show, after any crash.

const NAME = "strandwright";
const VERSION = 1;
const STORES = ["outbox", "refused", "advice", "done", "small"];

/** Open the browser's store; in a browser that has none, a store that lasts as long as the page. */
export async function openKeep(factory = globalThis.indexedDB) {
  try {
    return new Keep(await opened(factory));
  } catch (error) {
    return new FleetingKeep(String(error?.message ?? error));
  }
}

function opened(factory) {
  return new Promise((resolve, reject) => {
    const asked = factory.open(NAME, VERSION);
    asked.onupgradeneeded = () => {
      const db = asked.result;
      db.createObjectStore("outbox", { keyPath: "place", autoIncrement: true });
      db.createObjectStore("refused", { keyPath: "id" });
      db.createObjectStore("advice", { keyPath: "build" });
      db.createObjectStore("done", { keyPath: "id" }).createIndex("build", "build");
      db.createObjectStore("small", { keyPath: "key" });
    };
    asked.onsuccess = () => resolve(asked.result);
    asked.onerror = () => reject(asked.error);
    asked.onblocked = () => reject(new Error("another window holds an older store open"));
  });
}

const inOrder = (done) => done.sort((a, b) => a.seq - b.seq);

const value = (request) =>
  new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });

export class Keep {
  /** Empty where the store lasts; else why it does not. */
  fleeting = "";
  #db;

  constructor(db) {
    this.#db = db;
    db.onversionchange = () => db.close();
  }

  /** Put acts at the end of the queue; resolves once they are on the disk. */
  add(items) {
    return this.#write(["outbox"], async (s) => {
      for (const item of items) await value(s.outbox.add(item));
    });
  }

  /** Everything that waits, in order, and everything refused. */
  queue() {
    return this.#read(["outbox", "refused"], async (s) => ({
      pending: await value(s.outbox.getAll()),
      refused: await value(s.refused.getAll()),
    }));
  }

  /** What is known of a build, read in one go: advice, pending and refused belong together. */
  standing(build) {
    return this.#read(["outbox", "refused", "advice", "done"], async (s) => ({
      pending: await value(s.outbox.getAll()),
      refused: await value(s.refused.getAll()),
      advice: (await value(s.advice.get(build)))?.advice ?? null,
      done: inOrder(await value(s.done.index("build").getAll(build))),
    }));
  }

  /** After an answer: the acknowledged leave the queue, the refused are set apart, in one step. */
  settle({ build, acknowledged, refused, advice }) {
    return this.#write(STORES, async (s) => {
      for (const item of acknowledged) {
        s.outbox.delete(item.place);
        s.done.put({ id: item.event.id, build, seq: item.seq, event: item.event });
      }
      for (const item of refused) {
        s.outbox.delete(item.place);
        s.refused.put({ ...item, id: item.event.id });
      }
      if (advice) s.advice.put({ build, advice });
    });
  }

  /** Keep advice that was asked for, unless an act was made or newer advice came meanwhile. */
  offer(build, advice) {
    return this.#write(["outbox", "advice"], async (s) => {
      const waiting = (await value(s.outbox.getAll())).some((item) => item.build === build);
      const kept = (await value(s.advice.get(build)))?.advice;
      if (waiting || (kept && kept.seq > advice.seq)) return false;
      s.advice.put({ build, advice });
      return true;
    });
  }

  /** Remember acts that the bench computer told of, so that they can be taken back unanswered. */
  learn(build, stored) {
    return this.#write(["done"], async (s) => {
      for (const { seq, event } of stored) s.done.put({ id: event.id, build, seq, event });
    });
  }

  /** Take a refused act out of its place: to send it again, or to let it go. */
  release(id, { again }) {
    return this.#write(["outbox", "refused"], async (s) => {
      const item = await value(s.refused.get(id));
      if (!item) return;
      s.refused.delete(id);
      if (again) s.outbox.add({ build: item.build, job: item.job, event: item.event });
    });
  }

  note(key, noted) {
    return this.#write(["small"], async (s) => void s.small.put({ key, noted }));
  }

  noted(key) {
    return this.#read(["small"], async (s) => (await value(s.small.get(key)))?.noted ?? null);
  }

  #read(names, work) {
    return this.#run(names, "readonly", work);
  }

  #write(names, work) {
    return this.#run(names, "readwrite", work);
  }

  #run(names, mode, work) {
    return new Promise((resolve, reject) => {
      const transaction = this.#db.transaction(names, mode, { durability: "strict" });
      let result;
      transaction.oncomplete = () => resolve(result);
      transaction.onabort = () => reject(transaction.error ?? new Error("could not be kept"));
      const stores = Object.fromEntries(names.map((n) => [n, transaction.objectStore(n)]));
      work(stores).then((got) => (result = got), () => transaction.abort());
    });
  }
}

/** The same promises, but only as long as the page stands; the screen says so. */
export class FleetingKeep {
  #outbox = [];
  #refused = new Map();
  #advice = new Map();
  #done = new Map();
  #small = new Map();
  #place = 0;

  constructor(why) {
    this.fleeting = why;
  }

  async add(items) {
    for (const item of items) this.#outbox.push({ ...item, place: ++this.#place });
  }

  async queue() {
    return { pending: [...this.#outbox], refused: [...this.#refused.values()] };
  }

  async standing(build) {
    const done = inOrder([...this.#done.values()].filter((d) => d.build === build));
    return { ...(await this.queue()), advice: this.#advice.get(build) ?? null, done };
  }

  async settle({ build, acknowledged, refused, advice }) {
    const places = new Set([...acknowledged, ...refused].map((item) => item.place));
    this.#outbox = this.#outbox.filter((item) => !places.has(item.place));
    await this.learn(build, acknowledged);
    for (const item of refused) this.#refused.set(item.event.id, { ...item, id: item.event.id });
    if (advice) this.#advice.set(build, advice);
  }

  async offer(build, advice) {
    const kept = this.#advice.get(build);
    const waiting = this.#outbox.some((item) => item.build === build);
    if (waiting || (kept && kept.seq > advice.seq)) return false;
    this.#advice.set(build, advice);
    return true;
  }

  async learn(build, stored) {
    for (const { seq, event } of stored) this.#done.set(event.id, { id: event.id, build, seq, event });
  }

  async release(id, { again }) {
    const item = this.#refused.get(id);
    this.#refused.delete(id);
    if (item && again) await this.add([{ build: item.build, job: item.job, event: item.event }]);
  }

  async note(key, noted) {
    this.#small.set(key, noted);
  }

  async noted(key) {
    return this.#small.get(key) ?? null;
  }
}
