import { element } from '../elements.js';
import { Terms } from '../glossary.js';
import { nearestTurn } from '../journey.js';
import { clauseHands } from '../live/clauses.js';
import { mistakeTold } from './mistake.js';
/** @import {Panel} from '../panels.js' */
/** @import {Live} from '../live/live.js' */
/** @import {Store} from '../store.js' */

/** How far before it shows the crank begins, degrees, and how long it takes to come there. */
const RUN_UP_DEG = 120;
const RUN_UP_MS = 1800;

/**
 * @typedef {object} Cause as viewer/serve/diagnosing.py writes it
 * @property {string} name
 * @property {string} chance
 * @property {string[]} for
 * @property {string[]} against
 * @property {{mistake: string, where: string, place: number, name: string}[]} parts
 */

/** What is felt at the crank, the causes that it speaks for, and each of them right and wrong in the picture. */
class Diagnosing {
  /**
   * @param {Live} live
   * @param {Store} store
   */
  constructor(live, store) {
    this.live = live;
    this.store = store;
    /** @type {string[]} */
    this.clauses = [];
    /** @type {[string, number][]} */
    this.looked = [];
    this.asked = 0;
    this.ready = false;
    this.hands = element('div', {});
    this.said = element('div', { class: 'clauses', role: 'group', 'aria-label': 'What was felt' });
    this.status = element('p', { class: 'quiet', role: 'status' });
    this.told = element('div', {});
    this.answer = element('div', {});
    this.element = element(
      'div',
      {},
      element('p', { class: 'quiet' }, 'What is felt when the crank is turned by hand, one clause after another; angles from top dead centre of the first bore.'),
      this.said, this.hands, this.status, this.told, this.answer,
    );
    live.connection.on('shown', () => this.anew());
    live.connection.on('own', () => this.told.replaceChildren());
    live.connection.on('online', () => this.seen());
  }

  async seen() {
    if (this.ready || this.store.state.panel !== 'diagnosis') return;
    this.ready = true;
    try {
      const said = await this.live.connection.get('/api/diagnosis');
      this.hands.replaceChildren(...clauseHands(said, (clause) => this.add(clause)));
    } catch (bad) {
      this.ready = false;
      this.status.textContent = /** @type {Error} */ (bad).message;
    }
  }

  /** The machine shows another engine. */
  anew() {
    this.told.replaceChildren();
    if (this.clauses.length) this.ask();
  }

  /** @param {string} clause */
  add(clause) {
    if (!this.clauses.includes(clause)) this.clauses.push(clause);
    this.draw();
    this.ask();
  }

  draw() {
    this.said.replaceChildren(
      ...this.clauses.map((clause) =>
        element(
          'button',
          {
            type: 'button', class: 'chip', 'aria-label': `take out: ${clause}`,
            onclick: () => {
              this.clauses = this.clauses.filter((one) => one !== clause);
              this.draw();
              this.ask();
            },
          },
          `${clause} ×`,
        ),
      ),
    );
  }

  async ask() {
    this.asked += 1;
    const number = this.asked;
    if (!this.clauses.length) {
      this.looked = [];
      this.status.textContent = '';
      this.answer.replaceChildren();
      return;
    }
    this.status.textContent = 'Weighing every mistake in every place ...';
    try {
      const answer = await this.live.connection.post('/api/diagnose', { felt: this.clauses.join('; '), looked: this.looked });
      if (number !== this.asked) return;
      this.status.textContent = '';
      this.fill(answer);
    } catch (bad) {
      if (number !== this.asked) return;
      this.status.textContent = /** @type {Error} */ (bad).message;
      this.answer.replaceChildren();
    }
  }

  /** @param {{taken: string[], causes: Cause[], unlisted: string, looks: {look: string, place: number, words: string, minutes: string}[], notes: string[]}} answer */
  fill(answer) {
    const looks = answer.looks.map((look) =>
      element(
        'li',
        { class: 'line cause' },
        `${look.minutes}: ${look.words} `,
        element(
          'button',
          {
            type: 'button',
            onclick: () => {
              this.looked.push([look.look, look.place]);
              this.ask();
            },
          },
          'It showed nothing',
        ),
      ),
    );
    this.answer.replaceChildren(
      element('h2', {}, 'What it could be'),
      ...answer.taken.map((line) => element('p', {}, line)),
      element('ol', {}, ...answer.causes.map((cause) => this.cause(cause))),
      element('p', {}, answer.unlisted),
      ...(looks.length ? [element('h2', {}, 'Look next'), element('ul', {}, ...looks)] : []),
      element('div', { class: 'notes' }, ...answer.notes.map((note) => element('p', {}, note))),
    );
  }

  /** @param {Cause} cause */
  cause(cause) {
    return element(
      'li',
      { class: 'line cause' },
      element('h3', {}, `${cause.chance}  ${cause.name}`),
      element('ul', {}, ...cause.for.map((text) => element('li', {}, text)), ...cause.against.map((text) => element('li', { class: 'against' }, `against: ${text}`))),
      ...cause.parts.map((part) =>
        element('button', { type: 'button', onclick: () => this.show(part) }, cause.parts.length > 1 ? `Show ${part.name}` : 'Show it right and wrong'),
      ),
    );
  }

  /** Right and wrong side by side, turning to where it shows. @param {Cause['parts'][0]} part */
  async show(part) {
    this.status.textContent = `Putting it together right and wrong: ${part.name} ...`;
    try {
      const sent = await this.live.connection.post('/api/mistake', { mistake: part.mistake, [part.where]: part.place });
      if (!(await this.live.showBeside(sent))) return;
    } catch (bad) {
      this.status.textContent = /** @type {Error} */ (bad).message;
      return;
    }
    this.status.textContent = '';
    const { mistake, glossary } = this.store.page;
    if (!mistake) return;
    this.told.replaceChildren(element('article', { class: 'mistake told-mistake' }, ...mistakeTold(mistake, new Terms(glossary))));
    this.store.set({ bore: mistake.bore ?? this.store.state.bore, touched: true, playing: 0 });
    if (mistake.crank_deg !== null) this.turnTo(mistake.crank_deg);
    this.told.scrollIntoView({ block: 'nearest' });
  }

  /** @param {number} crankDeg */
  turnTo(crankDeg) {
    const { store } = this;
    const end = nearestTurn(store.state.crank_deg, crankDeg, store.variant.cycle_deg);
    if (matchMedia('(prefers-reduced-motion: reduce)').matches) {
      store.set({ crank_deg: end });
      return;
    }
    const began = performance.now();
    let last = end - RUN_UP_DEG;
    store.set({ crank_deg: last });
    const step = (/** @type {number} */ now) => {
      if (store.state.crank_deg !== last || store.state.playing) return;
      const share = Math.min(1, Math.max(0, (now - began) / RUN_UP_MS));
      last = end - RUN_UP_DEG * (1 - share) ** 2;
      store.set({ crank_deg: last });
      if (share < 1) requestAnimationFrame(step);
    };
    requestAnimationFrame(step);
  }
}

/** @type {Panel} */
export const diagnosisPanel = {
  id: 'diagnosis',
  title: 'Diagnose',
  voices: ['builder'],
  live: true,
  make({ live, store }) {
    const diagnosing = new Diagnosing(/** @type {Live} */ (live), store);
    store.listen((_state, changed) => changed.has('panel') && diagnosing.seen());
    return { element: diagnosing.element };
  },
};
