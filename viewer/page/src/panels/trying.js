import { element } from '../elements.js';
import { answerTable } from '../live/answers.js';
import { found, quantityRow } from '../live/quantity.js';
/** @import {Panel} from '../panels.js' */
/** @import {Live} from '../live/live.js' */
/** @import {Quantity} from '../live/quantity.js' */

const PAUSE_MS = 350;
const MOST_FOUND = 8;

/** Dimensions tried out: chosen, changed, and what that does; the engine file stays as it is. */
class TryingOut {
  /** @param {Live} live */
  constructor(live) {
    this.live = live;
    /** @type {Quantity[]} */
    this.quantities = [];
    /** @type {ReturnType<typeof quantityRow>[]} */
    this.rows = [];
    this.asked = 0;
    this.timer = 0;
    this.wanted = false;
    this.search = element('input', { type: 'search', class: 'search', placeholder: 'stroke, pan rail, compression height ..', 'aria-label': 'Search a dimension', autocomplete: 'off', oninput: () => this.list() });
    this.hits = element('ul', { class: 'hits' });
    this.chosen = element('ul', { class: 'chosen-values' });
    this.said = element('p', { class: 'quiet', role: 'status' });
    this.answer = element('div', { class: 'tried-answer' });
    this.name = element('input', { type: 'text', class: 'value-field', 'aria-label': 'Name of the new file', placeholder: 'my_engine.toml', autocomplete: 'off', spellcheck: 'false' });
    this.save = element(
      'form',
      { class: 'value-hands', onsubmit: (event) => this.saved(event) },
      this.name,
      element('button', {}, 'Save under this new name'),
      element('button', { type: 'button', onclick: () => this.reset() }, 'Reset'),
    );
    this.kept = element('p', { role: 'status' });
    this.element = element(
      'div',
      {},
      element('p', { class: 'quiet' }, 'Try other values: what changes is told beside the file\'s own answers. The engine file stays as it is.'),
      this.search, this.hits, this.chosen, this.said, this.answer, this.save, this.kept,
    );
    this.save.hidden = true;
    live.connection.on('shown', () => this.anew());
    live.connection.on('own', () => this.reset());
    live.connection.on('online', () => this.seen());
  }

  /** The panel is looked at. */
  async seen() {
    if (this.quantities.length || this.wanted) return;
    this.wanted = true;
    try {
      this.quantities = (await this.live.connection.get('/api/quantities')).quantities;
      this.list();
    } catch (bad) {
      this.said.textContent = /** @type {Error} */ (bad).message;
    }
    this.wanted = false;
  }

  /** The machine shows another engine: what was chosen is tried against that. */
  async anew() {
    const texts = this.rows.map((row) => ({ key: row.quantity.key, text: row.field.value, file: row.quantity.value }));
    if (!this.quantities.length) return;
    this.quantities = [];
    await this.seen();
    this.rows = [];
    for (const { key, text, file } of texts) {
      const quantity = this.quantities.find((one) => one.key === key);
      if (quantity) this.add(quantity, text === file ? quantity.value : text);
    }
    this.draw();
    if (this.rows.length) this.later();
  }

  list() {
    const hits = this.search.value.trim() ? found(this.quantities, this.search.value).slice(0, MOST_FOUND) : [];
    this.hits.replaceChildren(
      ...hits.map((one) =>
        element('li', {}, element(
          'button',
          { type: 'button', class: 'hit', onclick: () => this.choose(one) },
          element('strong', {}, one.key), ` ${one.value}${one.assumed ? ' (assumed)' : ''} `, element('span', { class: 'quiet' }, one.words),
        )),
      ),
    );
  }

  /** @param {Quantity} quantity */
  choose(quantity) {
    if (!this.rows.some((row) => row.quantity.key === quantity.key)) this.add(quantity, quantity.value);
    this.search.value = '';
    this.list();
    this.draw();
    this.rows.find((row) => row.quantity.key === quantity.key)?.field.select();
  }

  /**
   * @param {Quantity} quantity
   * @param {string} text
   */
  add(quantity, text) {
    const row = quantityRow(quantity, () => this.later(), () => {
      this.rows = this.rows.filter((one) => one !== row);
      this.draw();
      this.later();
    });
    row.field.value = text;
    this.rows.push(row);
  }

  draw() {
    this.chosen.replaceChildren(...this.rows.map((row) => row.element));
    this.save.hidden = !this.rows.length;
  }

  reset() {
    this.rows = [];
    this.draw();
    this.kept.textContent = '';
    this.later();
  }

  /** @returns {Object<string, string>} */
  settings() {
    const changed = this.rows.filter((row) => row.field.value.trim() && row.field.value.trim() !== row.quantity.value);
    return Object.fromEntries(changed.map((row) => [row.quantity.key, row.field.value.trim()]));
  }

  later() {
    clearTimeout(this.timer);
    this.asked += 1;
    this.timer = window.setTimeout(() => this.ask(this.asked), PAUSE_MS);
  }

  /** @param {number} number which asking; a later one makes an earlier one moot */
  async ask(number) {
    const settings = this.settings();
    this.rows.forEach((row) => row.refuse(''));
    if (!Object.keys(settings).length) {
      this.said.textContent = '';
      this.answer.replaceChildren();
      this.live.own();
      return;
    }
    this.said.textContent = 'Working out ...';
    try {
      const answer = await this.live.connection.post('/api/try', { settings });
      if (number !== this.asked) return;
      this.said.textContent = 'Drawing it ...';
      this.answer.replaceChildren(...answerTable(answer));
      const sent = await this.live.connection.post('/api/try/picture', { settings });
      if (number !== this.asked) return;
      if (await this.live.showBeside(sent)) this.said.textContent = 'The picture shows what is tried.';
    } catch (bad) {
      if (number === this.asked) this.refused(/** @type {Error} */ (bad).message);
    }
  }

  /** What is wrong with a value, beside its field. @param {string} message */
  refused(message) {
    this.answer.replaceChildren();
    this.live.own();
    const row = this.rows.find((one) => message.includes(`${one.quantity.key}:`)) ?? (this.rows.length === 1 ? this.rows[0] : null);
    row?.refuse(message);
    this.said.textContent = row ? '' : message;
  }

  /** @param {SubmitEvent} event */
  async saved(event) {
    event.preventDefault();
    try {
      const { saved } = await this.live.connection.post('/api/save', { settings: this.settings(), name: this.name.value.trim() });
      this.kept.textContent = `Saved as ${saved}, beside the engine file; that one is as it was.`;
    } catch (bad) {
      this.kept.textContent = /** @type {Error} */ (bad).message;
    }
  }
}

/** @type {Panel} */
export const tryingPanel = {
  id: 'trying',
  title: 'Try out',
  voices: ['builder'],
  live: true,
  make({ live, store }) {
    const trying = new TryingOut(/** @type {Live} */ (live));
    const look = () => store.state.panel === 'trying' && trying.seen();
    look();
    store.listen((_state, changed) => changed.has('panel') && look());
    return { element: trying.element };
  },
};
