import { element } from '../elements.js';
import { unpacked } from '../meshes.js';
import { Connection } from './connection.js';
/** @import {Stage} from '../stage.js' */
/** @import {Store} from '../store.js' */

const LOST = 'Not connected: what you type is kept, and sent once the machine answers again.';

/** A served page: follows the machine's page, and says above it what is not as it should be. */
export class Live {
  /**
   * @param {Store} store
   * @param {Stage|null} stage
   * @param {string} version of the page that is open
   */
  constructor(store, stage, version) {
    this.store = store;
    this.stage = stage;
    /** The page that is on show; another one while a value or a mistake is tried. */
    this.version = version;
    this.connection = new Connection();
    this.error = '';
    this.working = false;
    this.wanted = version;
    this.lines = element('div', { role: 'status' });
    this.element = element('div', { class: 'banner' }, this.lines);
    this.connection.on('offline', () => this.say());
    this.connection.on('online', () => this.say());
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

  /** Show the machine's page of this version unless it is on show. @param {string} version */
  async follow(version) {
    this.working = false;
    this.wanted = version;
    this.say();
    if (version !== this.version) await this.fetch();
  }

  async fetch() {
    try {
      const found = await this.connection.get('/api/page');
      await this.show(found);
      this.connection.tell('shown', found);
    } catch (bad) {
      this.error = /** @type {Error} */ (bad).message;
      this.say();
    }
  }

  /** Put a page on show, crank, camera and panel kept. @param {{version: string, page: any, solids: string}} found */
  async show(found) {
    const bytes = await unpacked(found.solids);
    this.version = found.version;
    if (this.stage) this.stage.bytes = bytes;
    this.store.replace(found.page);
  }

  say() {
    const lines = [];
    if (!this.connection.online) lines.push(element('p', { class: 'lost' }, LOST));
    if (this.error) {
      lines.push(
        element('p', { class: 'wrong' }, element('strong', {}, 'The file is not good; the last good engine stays. '), this.error),
      );
    }
    if (this.working) lines.push(element('p', { class: 'working' }, 'The file has changed: working ...'));
    this.lines.replaceChildren(...lines);
    this.element.hidden = !lines.length;
  }
}
