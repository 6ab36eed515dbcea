/** One line on its strip: what is saved, what is tried, what is wrong, what can be taken back. */
import { batch, signal } from "@preact/signals";
import { ApiError, get, lastReceived, post } from "../lib/api.js";
import { differences, fieldInWords, readField, valueInWords } from "./job_fields.js";
import { Latest } from "./latest.js";
import { Refused } from "./refused.js";
import { announce, setWaiting } from "./shell.js";
import { Undo } from "./undo.js";

/** Times from an answer's text to the drawn page, for whoever measures. @type {object[]} */
const timings = [];
Object.assign(window, { strandwright_timings: timings });

export class LineModel {
  /** @type {import("@preact/signals").Signal<"fetching"|"ready"|"failed">} */ state = signal("fetching");
  said = signal("");                       // why it could not be fetched
  job = signal(/** @type {any} */ (null)); // the tables as shown: saved, or tried
  view = signal(/** @type {any} */ (null));
  revision = signal(0);
  savedAt = signal("");
  builds = signal(/** @type {any[]} */ ([]));
  refusals = signal(/** @type {any[]} */ ([]));
  notice = signal(/** @type {{said: string, lines: string[]}|null} */ (null));
  dragged = signal(/** @type {{field: string, at_m: number}|null} */ (null));
  saving = signal(false);
  canUndo = signal(false);
  canRedo = signal(false);
  #saved = /** @type {any} */ (null);
  #seq = 0;
  #width = 1100;
  #theme = "light";

  /** @param {string} id */
  constructor(id) {
    this.id = id;
    this.path = `/api/jobs/${encodeURIComponent(id)}`;
    this.undoing = new Undo(id, safeStorage());
    this.refused = new Refused(id, safeStorage());
    this.wrong = this.refused.wrong;
    this.latest = new Latest({
      nextNumber: () => ++this.#seq,
      send: (wish, seq) => post(`${this.path}/try`, { seq, job: this.#saved, ...this.#drawing(), changes: wish.changes }),
      show: (answer) => { this.#show(answer, answer.seq); },
      fail: (error, wish) => this.#blame(error, wish.changes[0]?.field ?? "", undefined),
    });
  }

  /** Fetch the newest revision. */
  async load() {
    try {
      const { width, theme } = this.#drawing();
      const kept = await get(`${this.path}?width=${width}&theme=${theme}`);
      batch(() => {
        this.#saved = kept.job;
        this.job.value = kept.job;
        this.view.value = kept.view;
        this.revision.value = kept.revision;
        this.savedAt.value = kept.saved_at;
        this.builds.value = kept.builds;
        this.refusals.value = kept.errors;
        this.state.value = "ready";
        this.undoing.begin(kept.revision);
        this.#tellUndo();
      });
    } catch (error) {
      this.said.value = error.message;
      if (this.state.value !== "ready") this.state.value = "failed";
      else this.notice.value = { said: error.message, lines: [] };
    }
  }

  /**
   * Draw for another width or theme.
   * @param {number} width @param {string} theme
   */
  draw(width, theme) {
    if (width === this.#width && theme === this.#theme) return;
    this.#width = width;
    this.#theme = theme;
    if (this.state.value === "ready" && this.view.value !== null) this.latest.offer({ changes: [] });
  }

  /** Show a grip at a place and ask what would follow; nothing is saved. */
  drag(/** @type {string} */ field, /** @type {number} */ at_m) {
    this.dragged.value = { field, at_m };
    this.latest.offer({ changes: [{ field, at_m }] });
  }

  /** Put a grip back where it was. */
  letGo() {
    if (this.dragged.value === null) return;
    this.dragged.value = null;
    this.latest.settle(this.#seq);
    this.latest.offer({ changes: [] });
  }

  /** Save where a grip was let go. */
  async drop() {
    const { field, at_m } = this.dragged.value ?? {};
    if (field !== undefined) await this.change([{ field, at_m }]);
  }

  /**
   * Save changes as a further revision.
   * @param {{field: string, value?: any, at_m?: number}[]} changes
   * @returns {Promise<boolean>} whether they were taken
   */
  async change(changes) {
    const typed = changes[0].value;
    this.latest.settle(this.#seq);
    const sent = { seq: ++this.#seq, revision: this.revision.value, changes, ...this.#drawing() };
    const answer = await this.#save(() => post(`${this.path}/change`, sent), changes[0].field, typed);
    if (answer === null) return false;
    this.undoing.changed(answer.revision);
    this.#kept(answer, sent.seq);
    for (const { field } of changes) this.refused.forgive(field);
    return true;
  }

  undo() { return this.#revert(this.undoing.back, (to) => this.undoing.wentBack(to), "taken back"); }

  redo() { return this.#revert(this.undoing.forth, (to) => this.undoing.wentForth(to), "done again"); }

  /** Look whether somebody else changed the job. */
  async look() {
    if (this.saving.value || this.dragged.value !== null || this.state.value !== "ready") return;
    try {
      const { revisions } = await get(`${this.path}/revisions`);
      const newest = Math.max(...revisions.map((kept) => kept.revision));
      if (newest > this.revision.value && !this.saving.value) await this.#overtaken("");
    } catch { /* Only a look: the shell says when the program does not answer. */ }
  }

  async #revert(to, done, said) {
    if (to === undefined || this.saving.value) return;
    const seq = ++this.#seq;
    const sent = { revision: this.revision.value, to, ...this.#drawing() };
    const answer = await this.#save(() => post(`${this.path}/revert`, sent), "", undefined);
    if (answer === null) return;
    done(answer.revision);
    this.#kept(answer, seq);
    this.refused.forgiveAll();
    announce(said);
  }

  /** Send something that saves; say what is wrong with it where it failed. */
  async #save(send, field, typed) {
    this.saving.value = true;
    setWaiting("line", 1);
    try { return await send(); } catch (error) {
      if (error instanceof ApiError && error.status === 409) await this.#overtaken(field, typed);
      else this.#blame(error, field, typed);
      return null;
    } finally {
      this.saving.value = false;
      setWaiting("line", 0);
    }
  }

  /** Fetch what somebody else saved, say what it changed, keep what was typed here. */
  async #overtaken(field, typed) {
    const before = this.#saved;
    this.dragged.value = null;
    await this.load();
    const lines = differences(before, this.#saved).map((found) => `${fieldInWords(this.#saved, found.field)}: `
      + `${valueInWords(found.before)}, now ${valueInWords(found.after)}`);
    this.notice.value = { said: "This job was changed elsewhere; here is the newest.", lines };
    if (field && typed !== undefined) {
      const now = valueInWords(readField(this.#saved, field));
      this.refused.at(field, { given: typed, rule: `now says ${now}`, remedy: "press Enter to put yours in" });
    }
  }

  #blame(error, field, typed) {
    const dragged = this.dragged.value;
    this.dragged.value = null;
    if (!(error instanceof ApiError)) throw error;
    const own = field === "" ? error.errors : mostTelling(error.errors, field);
    const about = (/** @type {string} */ at) => (at === field ? "" : fieldInWords(this.#saved, at));
    // What was dragged goes back to its place, so what was wrong with it is said above the strip.
    if (typed === undefined || own.length === 0) {
      this.notice.value = { said: own.length === 0 ? error.message : "This cannot be:",
        lines: own.map((found) => `${fieldInWords(this.#saved, found.field)}, ${found.given}: ${found.rule}; ${found.remedy}`) };
    }
    if (typed !== undefined && own.length === 0) this.refused.at(field, { given: typed, rule: error.message, remedy: "" });
    else if (typed !== undefined) {
      for (const found of own) {
        this.refused.at(field, { given: typed ?? "", rule: found.rule, remedy: found.remedy, about: about(found.field) });
      }
    }
    if (dragged !== null) this.latest.offer({ changes: [] });
    announce(error.errors[0] ? `${error.errors[0].rule}; ${error.errors[0].remedy}` : error.message);
  }

  /** Forget what is wrong at a field. */
  forgive(/** @type {string} */ field) { this.refused.forgive(field); }

  #kept(answer, seq) {
    this.#saved = answer.job;
    batch(() => {
      this.revision.value = answer.revision;
      this.savedAt.value = new Date().toISOString();
      this.dragged.value = null;
      this.refusals.value = [];
      this.notice.value = null;
      this.#tellUndo();
      this.#show(answer, seq);
    });
  }

  #show(answer, seq) {
    const since = lastReceived();
    batch(() => { this.job.value = answer.job; this.view.value = answer.view; });
    // After the microtasks the page is redrawn; reading a size makes the browser lay it out now.
    setTimeout(() => {
      document.body.getBoundingClientRect();
      timings.push({ seq, handled_ms: performance.now() - since });
      performance.mark("strandwright-drawn", { detail: { seq } });
    });
  }

  #tellUndo() {
    this.canUndo.value = this.undoing.back !== undefined;
    this.canRedo.value = this.undoing.forth !== undefined;
  }

  #drawing() { return { width: this.#width, theme: this.#theme }; }
}

/** The one error that is the field's own, or the first. */
const mostTelling = (errors, field) => [errors.find((found) => found.field === field) ?? errors[0]].filter(Boolean);

/** @returns {Storage|null} */
function safeStorage() {
  try { return sessionStorage; } catch { return null; }
}
