import { element } from '../elements.js';
import { fieldList, history, lastSaved, pendingLines, placeButtons } from '../live/benchlists.js';
import { EntryView } from '../live/entry.js';
import { initialsAsked, initialsKept } from '../live/initials.js';
import { Readings } from '../live/readings.js';
/** @import {Live} from '../live/live.js' */
/** @import {Context, Panel} from '../panels.js' */

/** @type {Panel} */
export const readingsPanel = {
  id: 'readings',
  title: 'Readings',
  voices: ['builder', 'customer'],
  live: true,
  make: (context) => {
    const bench = new BenchPanel(context);
    return { element: bench.element, update: (state, changed) => changed.has('bore') && bench.follow(state.bore) };
  },
};

/** Readings of the build record, entered one at a time in the order of the job. */
class BenchPanel {
  /** @param {Context} context */
  constructor({ store, live }) {
    this.store = store;
    const { connection } = /** @type {Live} */ (live);
    this.readings = new Readings(connection);
    this.readings.by = initialsKept();
    this.path = '';
    /** The initials are being asked for. */
    this.asked = !this.readings.by;
    this.entry = new EntryView(this.readings, {
      next: () => this.next(), step: (by) => this.step(by), choose: (path) => this.choose(path),
    });
    this.head = element('div', { class: 'bench-head' });
    this.wrong = element('p', { class: 'reading-refused', role: 'alert', hidden: true });
    this.places = element('div', { class: 'bench-places', role: 'group', 'aria-label': 'Where' });
    this.pending = element('div', { class: 'bench-pending' });
    this.last = element('div', { class: 'bench-last', role: 'status' });
    this.room = element('div', {});
    this.done = element('div', { class: 'bench-done' });
    this.list = element('div', { class: 'bench-list' });
    this.told = element('ol', { class: 'bench-told' });
    this.toldTitle = element('summary', {});
    this.element = element('div', { class: 'bench' }, this.head, this.wrong, this.places, this.pending, this.last, this.room, this.done,
      this.list, element('details', { class: 'bench-history' }, this.toldTitle, this.told));
    this.readings.listen(() => this.show());
    this.readings.open(null).then(() => this.readings.flush());
  }

  /** A bore was chosen in the picture. @param {number} bore */
  follow(bore) {
    const place = `bore ${bore}`;
    if (this.readings.bench && this.readings.bench.place !== place) this.go(place);
  }

  /** @param {string} place @param {string} [path] */
  async go(place, path = '') {
    this.path = path;
    await this.readings.open(place);
    this.entry.focus();
    if (path) this.bring();
  }

  /** @param {string} path */
  choose(path) {
    this.path = path;
    this.show(true);
    this.bring();
  }

  /** Scroll the panel, and nothing around it, to the reading. */
  bring() {
    const panel = this.element.closest('.panel');
    if (panel) panel.scrollTop += this.room.getBoundingClientRect().top - panel.getBoundingClientRect().top;
  }

  get fields() {
    const fields = this.readings.bench?.fields ?? [];
    return fields.filter((field) => field.state !== 'extra' || field.path === this.path);
  }

  get at() {
    return this.fields.findIndex((field) => field.path === this.path);
  }

  /** On by so many, whatever is open. @param {number} by */
  step(by) {
    const { fields, at } = this;
    if (fields.length) this.choose(fields[(at + by + fields.length) % fields.length].path);
  }

  /** On to the next that is open and not being sent, from here and then from the first. */
  next() {
    const { fields, at } = this;
    const open = [...fields.slice(at + 1), ...fields.slice(0, Math.max(at, 0))].find((field) => field.state === 'open' && !this.readings.draft(field));
    if (open) this.choose(open.path);
    else this.show();
  }

  /** @param {boolean} [focus] */
  show(focus = false) {
    const { readings } = this;
    this.wrong.textContent = readings.error ? `The record cannot be used now, nothing is written: ${readings.error}` : '';
    this.wrong.hidden = !readings.error;
    this.showHead();
    if (!readings.bench) return;
    if (!readings.field(this.path)) {
      const { fields } = readings.bench;
      this.path = (fields.find((field) => field.state === 'open' && !readings.draft(field)) ?? fields[0]).path;
    }
    this.places.replaceChildren(...placeButtons(readings, (place) => this.go(place)));
    this.pending.replaceChildren(...pendingLines(readings, this.path, (place, path) => this.go(place, path)));
    this.last.replaceChildren(...lastSaved(readings));
    this.list.replaceChildren(...fieldList(readings, this.path, (path) => this.choose(path)));
    this.toldTitle.textContent = `Who changed what since the program was started (${readings.told.length})`;
    this.told.replaceChildren(...history(readings));
    this.showEntry(focus);
    this.showDone();
    this.showBore();
  }

  /** @param {boolean} focus */
  showEntry(focus) {
    if (this.asked) {
      if (!this.room.querySelector('.initials')) {
        this.room.replaceChildren(initialsAsked(this.readings.by, (by) => {
          this.readings.by = by;
          this.asked = false;
          this.show(true);
        }));
      }
      return;
    }
    if (this.room.firstChild !== this.entry.element) this.room.replaceChildren(this.entry.element);
    const field = this.readings.field(this.path);
    if (field) this.entry.show(field, focus);
  }

  showHead() {
    const { readings } = this;
    const change = () => {
      this.asked = true;
      this.show();
      document.getElementById('initials')?.focus();
    };
    this.head.replaceChildren(
      element('h2', {}, 'Readings'),
      ...(readings.bench ? [element('p', { class: 'quiet' }, `kept in ${readings.bench.record}`)] : []),
      ...(readings.by ? [element('button', { type: 'button', class: 'bench-by', 'aria-label': `Measured by ${readings.by}; change`, onclick: change }, readings.by)] : []),
      ...(readings.drafts && !readings.drafts.kept ? [element('p', { class: 'quiet' }, 'This browser keeps nothing: what is not saved yet is lost when the page is closed.')] : []),
    );
  }

  /** Everything asked for here is there: where to go on. */
  showDone() {
    const places = this.readings.bench?.places ?? [];
    const here = places.find((at) => at.place === this.readings.bench?.place);
    const open = places.find((at) => at.done < at.of);
    this.done.replaceChildren(...(here && here.done === here.of ? [
      element('p', {}, `Everything asked for at ${here.place} is entered.`),
      ...(open ? [element('button', { type: 'button', class: 'primary', onclick: () => this.go(open.place) }, `On to ${open.place}: ${open.done} of ${open.of}`)] : []),
    ] : []));
  }

  /** The picture shows the bore that is being measured. */
  showBore() {
    const place = this.readings.bench?.places.find((at) => at.place === this.readings.bench?.place);
    if (this.store.state.panel === 'readings' && place?.kind === 'bore' && place.number !== null) this.store.set({ bore: place.number });
  }
}
