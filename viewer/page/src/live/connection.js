/** How long without a sign of life before the machine counts as gone; it gives one every 5 s. */
const SILENCE_MS = 12000;
/** Before a closed stream is opened anew. */
const AGAIN_MS = 1500;
/** What the machine tells: viewer/serve/routes/events.py; any is a sign of life. */
const KINDS = ['page', 'record', 'state', 'working', 'beat'];

/** @typedef {(news: any) => void} Heard */

/** Why a request was not answered. */
export class Refused extends Error {
  /**
   * @param {number} status of HTTP; 0 where the machine was not reached
   * @param {string} what is wrong
   * @param {string} right what would be right
   * @param {any} [answer] all that came with it
   */
  constructor(status, what, right, answer = null) {
    super(right ? `${what}; ${right}` : what);
    this.status = status;
    this.what = what;
    this.right = right;
    this.answer = answer;
  }
}

/**
 * The machine that serves the page. `on` hears its news ('page', 'record', 'state', 'working'), and 'online' and
 * 'offline' as it comes and goes; what somebody typed while it was away is theirs to keep and to send again.
 */
export class Connection {
  constructor() {
    this.online = true;
    /** @type {Map<string, Set<Heard>>} */
    this.hearers = new Map();
    /** @type {EventSource|null} */
    this.source = null;
    this.silent = 0;
    this.open();
  }

  /**
   * @param {string} kind
   * @param {Heard} heard
   * @returns {() => void} to hear no more
   */
  on(kind, heard) {
    const hearers = this.hearers.get(kind) ?? new Set();
    this.hearers.set(kind, hearers.add(heard));
    return () => hearers.delete(heard);
  }

  /**
   * Ask for something.
   * @param {string} path
   * @param {Object<string, any>} body
   * @returns {Promise<any>} the answer; rejects with Refused
   */
  post(path, body) {
    return this.ask(path, { method: 'POST', headers: { 'content-type': 'application/json' }, body: JSON.stringify(body) });
  }

  /**
   * Read something.
   * @param {string} path
   * @returns {Promise<any>} the answer; rejects with Refused
   */
  get(path) {
    return this.ask(path, {});
  }

  /**
   * @param {string} path
   * @param {RequestInit} how
   * @returns {Promise<any>}
   */
  async ask(path, how) {
    let response;
    try {
      response = await fetch(path, { ...how, credentials: 'same-origin', cache: 'no-store', redirect: 'error' });
    } catch {
      this.lost();
      throw new Refused(0, 'not connected', 'it is sent again once the machine answers');
    }
    const answer = await response.json().catch(() => null);
    if (response.ok && answer) return answer;
    throw new Refused(response.status, answer?.error?.what ?? 'the answer is not understood', answer?.error?.right ?? '', answer);
  }

  open() {
    this.source?.close();
    const source = new EventSource('/api/events');
    this.source = source;
    for (const kind of KINDS) {
      source.addEventListener(kind, (event) => {
        this.found();
        this.tell(kind, JSON.parse(event.data));
      });
    }
    source.onerror = () => this.lost();
    this.listenOn(SILENCE_MS);
  }

  /** Open the stream anew unless a sign of life comes before. @param {number} within ms */
  listenOn(within) {
    clearTimeout(this.silent);
    this.silent = window.setTimeout(() => {
      this.lost();
      this.open();
    }, within);
  }

  found() {
    this.listenOn(SILENCE_MS);
    if (this.online) return;
    this.online = true;
    this.tell('online', null);
  }

  lost() {
    if (this.source?.readyState === EventSource.CLOSED) this.listenOn(AGAIN_MS);
    if (!this.online) return;
    this.online = false;
    this.tell('offline', null);
  }

  /**
   * @param {string} kind
   * @param {any} news
   */
  tell(kind, news) {
    for (const heard of [...(this.hearers.get(kind) ?? [])]) heard(news);
  }
}
