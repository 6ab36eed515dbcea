/** A job's bow: what is kept of it, what it answers, and what it would be with lines of other lengths. */
import { batch, signal } from "@preact/signals";
import { ApiError, get, post } from "../lib/api.js";
import { fieldInWords, readField, valueInWords } from "./job_fields.js";
import { Latest } from "./latest.js";
import { Refused } from "./refused.js";
import { announce, setWaiting } from "./shell.js";
import { steppedText } from "./steps.js";

export class BowModel {
  /** @type {import("@preact/signals").Signal<"fetching"|"ready"|"failed">} */ state = signal("fetching");
  said = signal("");                            // why the job could not be fetched
  job = signal(/** @type {any} */ (null));
  revision = signal(0);
  answers = signal(/** @type {any} */ (null));
  /** What the bow's own readings say, where no bows can be asked. */ readings = signal(/** @type {any} */ (null));
  /** Whether the bow is being worked out. */ looking = signal(false);
  refusal = signal(/** @type {{said: string, errors: any[]}|null} */ (null));
  notice = signal("");
  saving = signal(false);
  /** Which picture of the draw is shown. */ at = signal(0);
  /** By how much each line is to be longer, as typed or stepped. */ longer = signal(/** @type {Record<string, string>} */ ({}));
  changed = signal(/** @type {any} */ (null));
  untried = signal(/** @type {Record<string, {rule: string, remedy: string}>} */ ({}));
  #metres = /** @type {Record<string, number>} */ ({});
  #seq = 0;
  #turn = 0;
  #queue = Promise.resolve(true);
  #room = { width: 1100, plot: 520, theme: "light" };

  /** @param {string} id */
  constructor(id) {
    this.id = id;
    this.path = `/api/jobs/${encodeURIComponent(id)}`;
    this.refused = new Refused(`${id}.bow`, safeStorage());
    this.wrong = this.refused.wrong;
    this.latest = new Latest({
      nextNumber: () => ++this.#seq,
      send: (wish, seq) => post(`${this.path}/bow/what-if`, { seq, longer: wish.longer, plot: this.#room.plot, theme: this.#room.theme }),
      show: (answer) => this.#showChanged(answer),
      fail: (error, wish) => this.#blameLine(error, wish.line),
    });
  }

  /** Fetch the job, then what its bow answers. */
  async load() {
    try {
      const kept = await get(`${this.path}?width=320`);
      batch(() => { this.#keep(kept); this.state.value = "ready"; });
    } catch (error) {
      this.said.value = error.message;
      if (this.state.value !== "ready") this.state.value = "failed";
      else this.notice.value = error.message;
      return;
    }
    await this.ask();
  }

  /** Ask what the bow answers; an older answer never replaces a newer one. */
  async ask() {
    const turn = ++this.#turn;
    this.looking.value = true;
    const { width, plot, theme } = this.#room;
    try {
      const found = await get(`${this.path}/bow?width=${width}&plot=${plot}&theme=${theme}`);
      if (turn !== this.#turn) return;
      batch(() => { this.answers.value = found; this.readings.value = null; this.refusal.value = null; this.looking.value = false; });
      if (this.isChanged) this.#offer("");
    } catch (error) {
      if (turn !== this.#turn) return;
      if (!(error instanceof ApiError)) throw error;
      const readings = error.status === 422 ? await this.#readings() : null;
      if (turn !== this.#turn) return;
      batch(() => {
        this.looking.value = false;
        if (error.status === 422) {
          this.answers.value = null; this.readings.value = readings; this.refusal.value = { said: error.message, errors: error.errors };
        } else this.notice.value = error.message;
      });
    }
  }

  /** What turns do: by bows that agree, or by this bow's readings alone. */
  get tuning() { return this.answers.value ?? this.readings.value; }

  /** Ask what readings alone say; where they cannot be used either, the refusal says why. */
  async #readings() {
    try { return await get(`${this.path}/bow/readings`); } catch (error) {
      if (error instanceof ApiError) return null;
      throw error;
    }
  }

  /**
   * Draw for another room or theme.
   * @param {{width?: number, plot?: number, theme?: string}} room
   */
  draw(room) {
    const wished = { ...this.#room, ...room };
    if (Object.entries(wished).every(([name, value]) => this.#room[name] === value)) return;
    this.#room = wished;
    if (this.answers.value !== null) void this.ask();
  }

  /** Look whether somebody else changed the job. */
  async look() {
    if (this.saving.value || this.state.value !== "ready") return;
    try {
      const { revisions } = await get(`${this.path}/revisions`);
      const newest = Math.max(...revisions.map((kept) => kept.revision));
      if (newest > this.revision.value && !this.saving.value) await this.load();
    } catch { /* Only a look: the shell says when the program does not answer. */ }
  }

  // ------------------------------------------------------------- lines of other lengths

  /** Whether any line is looked at longer or shorter. */
  get isChanged() { return Object.values(this.longer.value).some((text) => text !== ""); }

  /** Make a line longer by steps; fewer than none makes it shorter. */
  step(/** @type {string} */ line, /** @type {number} */ steps) {
    const { text, metres } = steppedText(this.#metres[line] ?? 0, steps, this.answers.value.step_m, this.units);
    this.#metres[line] = metres;
    this.type(line, text);
  }

  /** Make a line longer by what is typed. */
  type(/** @type {string} */ line, /** @type {string} */ text) {
    const { [line]: _, ...rest } = this.untried.value;
    const plain = text.trim();
    const whole = /^[-+]?[ 0-9./-]*[0-9]$/.test(plain) ? `${plain} ${this.units}` : plain;
    batch(() => { this.untried.value = rest; this.longer.value = { ...this.longer.value, [line]: whole }; });
    this.#offer(line);
  }

  /** Put every line back. */
  reset() {
    this.#metres = {};
    this.latest.settle(this.#seq);
    batch(() => { this.longer.value = {}; this.untried.value = {}; this.changed.value = null; });
    announce("every line as it is");
  }

  get units() { return this.job.value.paper?.units ?? "in"; }

  #offer(/** @type {string} */ line) {
    if (!this.isChanged) { this.latest.settle(this.#seq); this.changed.value = null; return; }
    // What was refused stands at its line and keeps no other from being looked at.
    const sound = Object.entries(this.longer.value).filter(([name]) => !(name in this.untried.value));
    this.latest.offer({ longer: Object.fromEntries(sound), line });
  }

  #showChanged(answer) {
    for (const { line, metres } of answer.longer) this.#metres[line] = metres;
    this.changed.value = answer;
  }

  #blameLine(error, line) {
    if (!(error instanceof ApiError)) throw error;
    const wrong = /** @type {Record<string, any>} */ ({ ...this.untried.value });
    for (const one of error.errors) {
      const own = one.field.startsWith("longer.") ? one.field.slice("longer.".length) : line;
      wrong[own || line] = one;
    }
    if (error.errors.length === 0) wrong[line] = { rule: error.message, remedy: "" };
    this.untried.value = wrong;
    announce(error.errors[0] ? `${error.errors[0].rule}; ${error.errors[0].remedy}` : error.message);
  }

  // ------------------------------------------------------------------------ what is kept

  /**
   * Save changes as a further revision, one after the other.
   * @param {{field: string, value: any}[]} changes
   * @param {(error: any) => boolean} [blame] tells an error elsewhere than at the first field; true if it did
   * @returns {Promise<boolean>} whether they were taken
   */
  change(changes, blame = () => false) {
    this.#queue = this.#queue.then(() => this.#change(changes, blame));
    return this.#queue;
  }

  /** Wait until everything sent so far is kept or refused. */
  idle() { return this.#queue; }

  async #change(changes, blame) {
    const { field, value } = changes[0];
    this.saving.value = true;
    setWaiting("bow", 1);
    try {
      const sent = { seq: ++this.#seq, revision: this.revision.value, changes, width: 320 };
      const answer = await post(`${this.path}/change`, sent);
      batch(() => { this.#keep(answer); this.notice.value = ""; });
      for (const one of changes) this.refused.forgive(one.field);
      void this.ask();
      return true;
    } catch (error) {
      if (!(error instanceof ApiError)) throw error;
      if (error.status === 409) await this.#overtaken(field, value);
      else if (!blame(error)) this.#blame(error, field, value);
      return false;
    } finally {
      this.saving.value = false;
      setWaiting("bow", 0);
    }
  }

  /** Forget what is wrong at a field. */
  forgive(/** @type {string} */ field) { this.refused.forgive(field); }

  /** Fetch what somebody else saved; what was typed here stays at its field. */
  async #overtaken(field, value) {
    await this.load();
    this.notice.value = "This job was changed elsewhere; here is the newest.";
    if (typeof value !== "string") return;
    const now = valueInWords(readField(this.job.value, field));
    this.refused.at(field, { given: value, rule: `now says ${now}`, remedy: "press Enter to put yours in" });
  }

  #blame(error, field, value) {
    const own = error.errors.find((one) => one.field === field) ?? error.errors[0];
    if (own === undefined) { this.notice.value = error.message; return; }
    const about = own.field === field ? "" : fieldInWords(this.job.value, own.field);
    this.refused.at(field, { given: value ?? "", rule: own.rule, remedy: own.remedy, about });
    announce(`${own.rule}; ${own.remedy}`);
  }

  #keep(kept) {
    this.job.value = kept.job;
    this.revision.value = kept.revision;
  }
}

/** @returns {Storage|null} */
function safeStorage() {
  try { return sessionStorage; } catch { return null; }
}
