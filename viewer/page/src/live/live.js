import { element } from '../elements.js';
import { unpacked } from '../meshes.js';
import { Connection } from './connection.js';
/** @import {Stage} from '../stage.js' */
/** @import {Store} from '../store.js' */
/** @import {Page} from '../types.js' */

const LOST = 'Not connected: what you type is kept, and sent once the machine answers again.';

/**
 * A page as the machine sends it; beside the one on show it says which that is, and brings only the meshes it lacks.
 * @typedef {{version: string, base?: string, page: Page, solids: string}} Sent
 */

/**
 * A served page: follows the machine's page, and says above it what is not as it should be. A value or a mistake that is
 * tried stands in its place for a while (`showBeside`); `own` brings it back, and so does a newer page of the machine.
 */
export class Live {
  /**
   * @param {Store} store
   * @param {Stage|null} stage
   * @param {string} version of the page that is open
   */
  constructor(store, stage, version) {
    this.store = store;
    this.stage = stage;
    this.machine = { version, page: store.page, bytes: stage?.bytes ?? new ArrayBuffer(0) };
    /** What is on show: the machine's page, or one beside it. */
    this.version = version;
    this.connection = new Connection();
    this.error = '';
    this.working = false;
    this.fetching = '';
    this.lines = element('div', { role: 'status' });
    this.element = element('div', { class: 'banner' }, this.lines);
    const say = () => this.say();
    this.connection.on('offline', say);
    this.connection.on('online', say);
    this.connection.on('state', (news) => this.heardState(news));
    this.connection.on('working', () => {
      this.working = true;
      this.say();
    });
    this.connection.on('page', (news) => this.follow(news.version));
    this.say();
  }

  /** @param {{kind: string, text?: string}} news */
  heardState(news) {
    this.error = news.kind === 'error' ? (news.text ?? '') : '';
    this.working = false;
    this.say();
  }

  /** Show the machine's page of this version unless it is known. @param {string} version */
  async follow(version) {
    this.working = false;
    this.say();
    if (version === this.machine.version || version === this.fetching) return;
    this.fetching = version;
    try {
      /** @type {Sent} */
      const sent = await this.connection.get('/api/page');
      this.machine = { version: sent.version, page: sent.page, bytes: await unpacked(sent.solids) };
      this.own();
      this.connection.tell('shown', sent);
    } catch (bad) {
      this.error = /** @type {Error} */ (bad).message;
      this.say();
    }
    this.fetching = '';
  }

  /** The machine's own page again, crank, camera and panel kept. */
  own() {
    const { version, page, bytes } = this.machine;
    if (this.version !== version) this.put(version, page, bytes);
  }

  /**
   * A page beside the machine's.
   * @param {Sent} sent
   * @returns {Promise<boolean>} false where the machine's page has changed meanwhile
   */
  async showBeside(sent) {
    const more = await unpacked(sent.solids);
    const { version, bytes } = this.machine;
    if (sent.base !== version) return false;
    const all = new Uint8Array(bytes.byteLength + more.byteLength);
    all.set(new Uint8Array(bytes));
    all.set(new Uint8Array(more), bytes.byteLength);
    this.put(sent.version, sent.page, all.buffer);
    return true;
  }

  /**
   * @param {string} version
   * @param {Page} page
   * @param {ArrayBuffer} bytes
   */
  put(version, page, bytes) {
    this.version = version;
    if (this.stage) this.stage.bytes = bytes;
    this.store.replace(page);
    this.say();
  }

  /** That what is on show is not the file's engine, and the way back. */
  besideLine() {
    const { mistake, variants } = this.store.page;
    const what = mistake ? `a mistake tried out, right and wrong: ${mistake.title}, ${mistake.place}` : variants[0].words;
    const back = () => {
      this.own();
      this.connection.tell('own', null);
    };
    return element('p', { class: 'working' }, `On show: ${what}. `, element('button', { type: 'button', onclick: back }, 'Back to the engine of the file'));
  }

  say() {
    const lines = [];
    if (!this.connection.online) lines.push(element('p', { class: 'lost' }, LOST));
    if (this.error) {
      const head = element('strong', {}, 'The file is not good, and the last good engine stays: ');
      lines.push(element('p', { class: 'wrong' }, head, this.error));
    }
    if (this.version !== this.machine.version) lines.push(this.besideLine());
    if (this.working) lines.push(element('p', { class: 'working' }, 'The file has changed: working ...'));
    this.lines.replaceChildren(...lines);
    this.element.hidden = !lines.length;
  }
}
