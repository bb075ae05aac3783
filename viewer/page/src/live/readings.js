import { Refused } from './connection.js';
import { Drafts } from './drafts.js';
/** @import {Connection} from './connection.js' */
/** @import {Draft} from './drafts.js' */

/**
 * @typedef {object} Blank one value to be filled in: geometry/record/blank.py
 * @property {string} name
 * @property {string} words
 * @property {string} hint
 * @property {'quantity'|'choice'|'text'} kind
 * @property {boolean} needed
 * @property {string[]} units
 * @property {boolean} signed
 * @property {{value: string, words: string, right: boolean}[]} choices
 */

/**
 * @typedef {object} Verdict
 * @property {string} what
 * @property {string} reading
 * @property {string} limit
 * @property {string} limit_source
 * @property {string} verdict
 * @property {'stop'|'look'|'note'|null} severity
 * @property {string} text
 * @property {string} remedy
 */

/**
 * @typedef {object} Field one thing that can be entered at a place: geometry/record/bench.py
 * @property {string} step
 * @property {string} path
 * @property {string} what
 * @property {'open'|'done'|'instead'|'extra'} state
 * @property {string} limit
 * @property {string} source
 * @property {string} step_text
 * @property {string} enter
 * @property {string[]} instead
 * @property {string} form
 * @property {Record<string, string|number>|null} content
 * @property {Record<string, [string, string]>} filled
 * @property {string} reading
 * @property {{key: string, words: string, blanks: Blank[]}[]} forms
 * @property {Verdict[]} verdicts
 */

/** @typedef {{place: string, kind: string, number: number|null, done: number, of: number}} Progress */

/**
 * @typedef {object} Told one change of the record: viewer/serve/journal.py
 * @property {string} run
 * @property {number} number
 * @property {number} at seconds since 1970
 * @property {string} by
 * @property {string} page
 * @property {string} place
 * @property {string} path
 * @property {string} what
 * @property {string} was
 * @property {string} now
 * @property {Record<string, string|number>|null} before
 * @property {Record<string, string|number>|null} after
 * @property {boolean} [spent] taken back, or itself a taking back
 */

const RETRY_MS = 2500;
const MOST_TOLD = 200;

/**
 * The record as this page knows it, and what was typed and is not in it yet. Nothing typed is let go before the machine
 * has it on its disk or whoever typed it says so.
 */
export class Readings {
  /** @param {Connection} connection */
  constructor(connection) {
    this.connection = connection;
    /** @type {{version: string, record: string, engine: string, run: string, last: number, place: string, places: Progress[], fields: Field[]}|null} */
    this.bench = null;
    /** @type {Drafts|null} */
    this.drafts = null;
    /** @type {Told[]} */
    this.told = [];
    this.run = '';
    this.last = 0;
    /** What is wrong with the record itself, in words. */
    this.error = '';
    this.by = '';
    /** @type {{draft: Draft, field: Field, at: Date}|null} */
    this.saved = null;
    this.asking = 0;
    /** @type {Promise<void>|null} */
    this.sending = null;
    this.waiting = 0;
    /** @type {Set<() => void>} */
    this.listeners = new Set();
    connection.on('record', (news) => news.version !== this.bench?.version && this.refresh());
    connection.on('online', () => this.refresh());
    connection.on('offline', () => this.tell());
    connection.on('shown', () => this.refresh());
  }

  /** @param {() => void} listener */
  listen(listener) {
    this.listeners.add(listener);
  }

  tell() {
    for (const listener of [...this.listeners]) listener();
  }

  /** Go to a place; the first with anything left to do where none is named. @param {string|null} place */
  async open(place) {
    const asked = (this.asking += 1);
    try {
      const found = await this.connection.get(`/api/readings${place ? `?place=${encodeURIComponent(place)}` : ''}`);
      if (asked !== this.asking) return;
      this.take(found);
      await this.follow();
    } catch (bad) {
      this.wrong(bad);
    }
    this.tell();
  }

  async refresh() {
    await this.open(this.bench?.place ?? null);
    await this.flush();
  }

  /** @param {any} found */
  take(found) {
    this.bench = found;
    this.error = '';
    if (!this.drafts) this.drafts = new Drafts(found.engine);
  }

  /** Hear what was changed since it was heard last. */
  async follow() {
    const run = this.bench?.run ?? '';
    if (run !== this.run) {
      this.run = run;
      this.last = 0;
    }
    if (this.bench?.last === this.last) return;
    const found = await this.connection.get(`/api/readings/changes?since=${this.last}`);
    if (found.run !== this.run) return;
    this.last = found.last;
    this.told = [...this.told, ...found.changes.map((/** @type {Told} */ change) => ({ ...change, run }))].slice(-MOST_TOLD);
  }

  /** @param {unknown} bad */
  wrong(bad) {
    if (!(bad instanceof Refused)) throw bad;
    if (bad.status) this.error = bad.message;
    if (bad.status === 503) this.later();
  }

  later() {
    clearTimeout(this.waiting);
    this.waiting = window.setTimeout(() => this.refresh(), RETRY_MS);
  }

  /** This page's mark in the history. */
  get page() {
    return this.drafts?.tab ?? '';
  }

  /** @param {string} path @param {string} [place] @returns {Field|null} */
  field(path, place = this.bench?.place) {
    return (place === this.bench?.place && this.bench?.fields.find((field) => field.path === path)) || null;
  }

  /** What is being typed into a field of the place on show. @param {Field} field @returns {Draft|null} */
  draft(field) {
    return this.drafts?.get(`${this.bench?.place} ${field.path}`) ?? null;
  }

  /**
   * Keep what is typed so far; nothing is kept where it is what stands there.
   * @param {Field} field
   * @param {string} form
   * @param {Record<string, {text: string, unit: string}>} values
   */
  type(field, form, values) {
    if (!this.bench || !this.drafts) return;
    const known = this.draft(field);
    const key = `${this.bench.place} ${field.path}`;
    const filled = Object.entries(values).filter(([, value]) => value.text.trim());
    const same = filled.every(([name, value]) => field.filled[name]?.[0] === value.text && field.filled[name][1] === value.unit);
    const count = Object.keys(field.filled).filter((name) => name !== 'by' && name !== 'on').length;
    if (same && filled.length === count && !known?.conflict) {
      this.drafts.drop(key);
    } else {
      this.drafts.keep({
        key, place: this.bench.place, path: field.path, what: field.what, form, values, asIs: false, error: '',
        seen: known ? known.seen : field.content, wanted: false, conflict: known ? known.conflict : null,
      });
    }
    this.tell();
  }

  /** Send it as soon as that can be. @param {Draft} draft */
  send(draft) {
    this.drafts?.keep({ ...draft, wanted: true, error: '' });
    this.tell();
    return this.flush();
  }

  /** Take an entry out of the record. @param {Field} field */
  takeOut(field) {
    return this.putBack(`${this.bench?.place} ${field.path}`, this.bench?.place ?? '', field.path, field.what, null, field.content);
  }

  /** Put back what stood there before a change. @param {Told} change */
  async takeBack(change) {
    const { place, path, what, before, after } = change;
    const last = this.last;
    if (!(await this.putBack(`back ${place} ${path}`, place, path, what, before, after))) return;
    change.spent = true;
    const own = this.told.find((each) => each.number > last && each.page === this.page && each.place === place && each.path === path);
    if (own) own.spent = true;
    this.tell();
  }

  /**
   * @param {string} key
   * @param {string} place
   * @param {string} path
   * @param {string} what
   * @param {Record<string, string|number>|null} content
   * @param {Record<string, string|number>|null} seen
   */
  async putBack(key, place, path, what, content, seen) {
    const values = content && Object.fromEntries(Object.entries(content).map(([name, value]) => [name, { text: String(value), unit: '' }]));
    await this.send({ key, place, path, what, form: '', values, seen, wanted: true, asIs: true, error: '', conflict: null });
    return this.drafts?.get(key) === null;
  }

  /** Let go of what was typed: the record stays as it is. @param {Draft} draft */
  keepTheirs(draft) {
    this.drafts?.drop(draft.key);
    this.tell();
  }

  /** Write it in place of what somebody else wrote meanwhile, which has been seen now. @param {Draft} draft @param {Field} theirs */
  writeMine(draft, theirs) {
    return this.send({ ...draft, seen: theirs.content, conflict: null });
  }

  /** Send everything that is to be sent, one after the other. */
  flush() {
    this.sending ??= this.sendAll().finally(() => {
      this.sending = null;
      this.tell();
    });
    return this.sending;
  }

  async sendAll() {
    for (;;) {
      const draft = this.drafts?.all.find((each) => each.wanted);
      if (!draft || !(await this.sendOne(draft))) return;
    }
  }

  /** @param {Draft} draft @returns {Promise<boolean>} whether the machine answered */
  async sendOne(draft) {
    const { place, path, seen } = draft;
    const body = { place, path, values: this.texts(draft.values), seen, by: this.by, page: this.page, as_is: draft.asIs };
    try {
      const found = await this.connection.post('/api/readings', body);
      const field = found.fields.find((/** @type {Field} */ each) => each.path === path);
      const now = this.drafts?.get(draft.key);
      if (now === draft) this.drafts?.drop(draft.key);
      else if (now) this.drafts?.keep({ ...now, seen: field.content }); // typed on meanwhile
      this.saved = { draft, field, at: new Date() };
      if (this.bench?.place === place) this.take(found);
      else if (this.bench) this.bench = { ...this.bench, places: found.places, version: found.version, last: found.last };
      await this.follow();
      this.tell();
      return true;
    } catch (bad) {
      return this.notTaken(draft, bad);
    }
  }

  /** @param {Draft} draft @param {unknown} bad */
  notTaken(draft, bad) {
    if (!(bad instanceof Refused)) throw bad;
    const now = this.drafts?.get(draft.key);
    if (now !== draft) return bad.status > 0; // it was typed on meanwhile
    if (bad.status === 409) this.drafts?.keep({ ...draft, wanted: false, conflict: bad.answer.conflict.field });
    else if (bad.status === 0 || bad.status === 503) this.drafts?.keep({ ...draft, error: bad.status ? bad.message : '' });
    else this.drafts?.keep({ ...draft, wanted: false, error: bad.message });
    if (bad.status === 503) this.later();
    this.tell();
    return bad.status !== 0 && bad.status !== 503;
  }

  /**
   * What would be said of something typed; nothing is saved.
   * @param {Field} field
   * @param {Record<string, {text: string, unit: string}>} values
   * @returns {Promise<{verdicts: Verdict[], others: Verdict[], refused: string}>} `refused`: why it could not be saved
   */
  judge(field, values) {
    return this.connection.post('/api/readings/judge', { place: this.bench?.place, path: field.path, values: this.texts(values) });
  }

  /** @param {Record<string, {text: string, unit: string}>|null} values */
  texts(values) {
    if (!values) return null;
    const filled = Object.entries(values).filter(([, value]) => value.text.trim());
    return Object.fromEntries(filled.map(([name, value]) => [name, `${value.text.trim()} ${value.unit}`.trim()]));
  }

  /** The change that the undo button takes back: this page's last one that still stands. @returns {Told|null} */
  get undoable() {
    return this.told.filter((change) => change.page === this.page && !change.spent).pop() ?? null;
  }

  /** Who left an entry as it stands, and when, as far as that is known. @param {string} place @param {Field} field */
  whoWrote(place, field) {
    const change = this.told.filter((each) => each.place === place && each.path === field.path).pop();
    const by = change?.by || String(field.content?.by ?? '') || 'somebody';
    const at = change ? ` at ${clockTime(new Date(change.at * 1000))}` : field.content?.on ? ` on ${field.content.on}` : '';
    return { by, at };
  }
}

/** @param {Date} at */
export function clockTime(at) {
  return `${String(at.getHours()).padStart(2, '0')}:${String(at.getMinutes()).padStart(2, '0')}`;
}
