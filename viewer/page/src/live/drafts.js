/**
 * What was typed into one entry and is not in the record yet.
 * @typedef {object} Draft
 * @property {string} key
 * @property {string} place
 * @property {string} path
 * @property {string} what in words
 * @property {string} form
 * @property {Record<string, {text: string, unit: string}>|null} values by the name of the blank; null takes the entry out
 * @property {Record<string, string|number>|null} seen content of the entry when the typing began
 * @property {boolean} wanted to be sent; otherwise still being typed
 * @property {boolean} asIs an entry that is put back as it was, with its own initials and day
 * @property {string} error why it was not taken, in words
 * @property {import('./readings.js').Field|null} conflict the entry as somebody else left it
 */

const KEPT = 'fullturn:draft:';
const TAB = 'fullturn:tab';
const LEFT = 'fullturn:left:';

/**
 * Drafts of one page: in memory and, where the browser allows it, in its storage, so that a page that is loaded anew has
 * them still. Each page of a browser has its own; those of one that was closed go to the next that is opened.
 */
export class Drafts {
  /** @param {string} engine file of the engine that they belong to */
  constructor(engine) {
    this.engine = engine;
    /** Whether they outlive the page. */
    this.kept = true;
    /** @type {Map<string, Draft>} */
    this.drafts = new Map();
    this.tab = this.tabMark();
    this.load();
    window.addEventListener('pagehide', () => this.trying(() => localStorage.setItem(LEFT + this.tab, '1')));
    window.addEventListener('pageshow', () => this.trying(() => localStorage.removeItem(LEFT + this.tab)));
  }

  get all() {
    return [...this.drafts.values()];
  }

  /** @param {string} key @returns {Draft|null} */
  get(key) {
    return this.drafts.get(key) ?? null;
  }

  /** @param {Draft} draft */
  keep(draft) {
    this.drafts.set(draft.key, draft);
    this.trying(() => localStorage.setItem(this.item(draft.key), JSON.stringify(draft)));
  }

  /** @param {string} key */
  drop(key) {
    this.drafts.delete(key);
    this.trying(() => localStorage.removeItem(this.item(key)));
  }

  /** @param {string} key */
  item(key) {
    return `${KEPT}${this.tab}:${this.engine}:${key}`;
  }

  /** This page's mark: the same one after it was loaded anew. */
  tabMark() {
    const fresh = [...crypto.getRandomValues(new Uint8Array(8))].map((byte) => byte.toString(16).padStart(2, '0')).join('');
    return this.trying(() => {
      const known = sessionStorage.getItem(TAB) ?? fresh;
      sessionStorage.setItem(TAB, known);
      return known;
    }) ?? fresh;
  }

  load() {
    this.trying(() => {
      localStorage.removeItem(LEFT + this.tab);
      for (const name of Object.keys(localStorage).filter((each) => each.startsWith(KEPT))) {
        const tab = name.slice(KEPT.length).split(':', 1)[0];
        if (!name.startsWith(`${KEPT}${tab}:${this.engine}:`)) continue;
        if (tab !== this.tab && localStorage.getItem(LEFT + tab) === null) continue;
        const draft = JSON.parse(localStorage.getItem(name) ?? 'null');
        localStorage.removeItem(name);
        if (draft && typeof draft.key === 'string') this.keep(draft);
      }
    });
  }

  /**
   * @template T
   * @param {() => T} task with the browser's storage, which may be refused
   * @returns {T|null}
   */
  trying(task) {
    try {
      return task();
    } catch {
      this.kept = false;
      return null;
    }
  }
}
