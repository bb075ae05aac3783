import { element } from '../elements.js';
import { SIGNS } from '../words.js';
import { Refused } from './connection.js';
import { numberPad } from './numberpad.js';
import { clockTime } from './readings.js';
/** @import {Draft} from './drafts.js' */
/** @import {Blank, Field, Readings, Verdict} from './readings.js' */

/** @typedef {Record<string, {text: string, unit: string}>} Values */

const JUDGE_AFTER_MS = 250;
const SELDOM = ['resolution', 'depth', 'note'];
/** @type {Blank} */
const NOTE = { name: 'note', words: 'note', hint: 'Anything worth knowing.', kind: 'text', needed: false, units: [], signed: false, choices: [] };
/** Units as they are read. */
const UNIT_WORDS = { 'lbf*ft': 'lbf·ft', 'lbf*in': 'lbf·in', 'N*m': 'N·m', deg: '°' };

/** @param {string} unit */
const unitWords = (unit) => UNIT_WORDS[/** @type {keyof typeof UNIT_WORDS} */ (unit)] ?? unit;

/** One reading, large: what is asked, its blanks, what it says, and the hands to save it. */
export class EntryView {
  /**
   * @param {Readings} readings
   * @param {{next: () => void, step: (by: number) => void, choose: (path: string) => void}} hands
   */
  constructor(readings, hands) {
    this.readings = readings;
    this.hands = hands;
    /** @type {Field|null} */
    this.field = null;
    /** Which of its forms was chosen here, by path. @type {Map<string, string>} */
    this.formChosen = new Map();
    /** The unit used last of those that go together. @type {Map<string, string>} */
    this.unitChosen = new Map();
    /** @type {Values} */
    this.values = {};
    this.signature = '';
    this.typing = false;
    this.judging = 0;
    /** What is said of what is typed. @type {Verdict[]} */
    this.shown = [];
    this.units = element('div', { class: 'reading-units' });
    /** @type {HTMLInputElement|null} */
    this.active = null;
    this.pad = numberPad(() => this.active);
    this.verdict = element('div', { class: 'reading-verdict', 'aria-live': 'polite' });
    /** The first of it, where there is no room for all of it before the number pad. */
    this.gist = element('p', { class: 'reading-gist', 'aria-hidden': 'true' });
    this.state = element('div', { class: 'reading-state' });
    this.save = element('button', { type: 'button', class: 'primary', onclick: () => this.saveNow() });
    this.element = element('section', { class: 'reading', 'aria-label': 'The reading' });
  }

  /** @param {Field} field @param {boolean} [focus] */
  show(field, focus = false) {
    const moved = this.field?.path !== field.path;
    this.field = field;
    const signature = this.signed();
    if (!this.typing && signature !== this.signature) {
      const inside = this.element.contains(document.activeElement);
      this.build(field);
      if (focus || (inside && !moved)) this.focus();
    } else if (focus) {
      this.focus();
    }
    this.signature = signature;
    this.update();
  }

  /** What the blanks are made from: a draft, or what stands in the record. */
  signed() {
    const { readings, field } = this;
    if (!field) return '';
    const draft = readings.draft(field);
    const held = draft ? `draft ${draft.seen === null}` : JSON.stringify([field.content, field.limit, field.what]);
    return [readings.bench?.place, field.path, this.formKey, held, readings.by === ''].join('|');
  }

  get formKey() {
    const { field } = this;
    if (!field) return '';
    return this.formChosen.get(`${this.readings.bench?.place} ${field.path}`) ?? this.readings.draft(field)?.form ?? field.form;
  }

  get blanks() {
    const form = this.field?.forms.find((each) => each.key === this.formKey) ?? this.field?.forms[0];
    return [...(form?.blanks ?? []), NOTE];
  }

  /** @param {Field} field */
  build(field) {
    const draft = this.readings.draft(field);
    this.values = {};
    for (const blank of this.blanks) {
      const [text, unit] = field.filled[blank.name] ?? ['', ''];
      this.values[blank.name] = draft?.values?.[blank.name] ?? { text, unit: text && blank.kind === 'quantity' ? unit : this.unitOf(blank) };
    }
    this.active = null;
    const often = this.blanks.filter((blank) => blank.needed || !SELDOM.includes(blank.name));
    const seldom = this.blanks.filter((blank) => !often.includes(blank));
    const numbers = often.some((blank) => blank.kind === 'quantity');
    this.units = element('div', { class: 'reading-units' });
    this.element.replaceChildren(
      element('p', { class: 'reading-step' }, field.step),
      element('h3', {}, field.what),
      this.heldAgainst(field),
      ...this.formSwitch(field),
      element(
        'div', { class: numbers ? 'reading-hands' : 'reading-hands plain', 'data-blanks': often.length },
        element('div', { class: 'reading-blanks' }, ...often.map((blank) => this.blank(blank, field))),
        this.gist,
        ...(numbers ? [element('div', { class: 'reading-pad' }, this.units, this.pad.element)] : []),
        element('div', { class: 'reading-says' }, this.verdict, this.state),
      ),
      element('div', { class: 'reading-buttons' },
        element('button', { type: 'button', onclick: () => this.hands.step(-1) }, '← Back'),
        element('button', { type: 'button', onclick: () => this.hands.step(1) }, 'Skip →'), this.save),
      element('details', { class: 'reading-more' },
        element('summary', {}, `More: ${seldom.map((blank) => blank.words).join(', ')}`),
        ...seldom.map((blank) => this.blank(blank, field)),
        ...(field.instead.length ? [this.otherWays(field)] : []),
        ...(field.content ? [element('button', { type: 'button', onclick: () => this.readings.takeOut(field) }, 'Take this entry out')] : []),
        element('p', { class: 'quiet' }, `On the command line: ${field.enter}`)),
    );
    this.ready(this.element.querySelector('.reading-blanks input[data-name]'));
    this.said(field.verdicts, []);
    if (draft && !draft.conflict) this.judgeSoon(0);
  }

  /** The limit with its source, which is long at times: a tap shows all of it. @param {Field} field */
  heldAgainst(field) {
    const step = field.step_text ? `, read to ${field.step_text}` : '';
    if (!field.limit) return element('p', { class: 'reading-limit' }, `No limit is known${step}.`);
    return element('details', { class: 'reading-limit' },
      element('summary', {}, element('strong', {}, field.limit), `${step}. `, element('span', { class: 'quiet' }, `Limit: ${field.source}.`)));
  }

  /** @param {Field} field */
  formSwitch(field) {
    if (field.forms.length < 2) return [];
    const choose = (/** @type {string} */ key) => {
      this.formChosen.set(`${this.readings.bench?.place} ${field.path}`, key);
      this.show(field, true);
    };
    return [element('div', { class: 'reading-forms', role: 'group', 'aria-label': 'Given as' },
      ...field.forms.map((form) =>
        element('button', { type: 'button', 'aria-pressed': String(form.key === this.formKey), onclick: () => choose(form.key) }, form.words)))];
  }

  /** @param {Field} field */
  otherWays(field) {
    return element('p', {}, ...field.instead.map((path) =>
      element('button', { type: 'button', onclick: () => this.hands.choose(path) }, `Instead: ${this.readings.field(path)?.what ?? path}`)));
  }

  /** @param {Blank} blank */
  unitOf(blank) {
    if (blank.kind !== 'quantity') return '';
    const chosen = this.unitChosen.get(blank.units.join());
    return chosen ?? blank.units[0];
  }

  /** @param {Blank} blank @param {Field} field */
  blank(blank, field) {
    if (blank.kind === 'choice') return this.choice(blank, field);
    const id = `blank-${blank.name}`;
    const number = blank.kind === 'quantity';
    const unit = element('span', { class: 'blank-unit' }, unitWords(this.values[blank.name].unit));
    /** @type {HTMLInputElement} */
    const input = element('input', {
      id, type: 'text', inputmode: number ? 'none' : 'text', autocomplete: 'off', autocapitalize: 'off', spellcheck: 'false',
      maxlength: number ? 24 : 300, 'data-name': blank.name, 'aria-describedby': `${id}-hint`, class: number ? 'number' : 'text',
      onfocus: () => this.ready(input),
      oninput: () => this.typed(blank.name, { ...this.values[blank.name], text: input.value }),
      onkeydown: (event) => this.pressed(event, input),
    });
    input.value = this.values[blank.name].text;
    return element('div', { class: 'blank' }, element('label', { for: id }, blank.words), input, unit,
      element('span', { class: 'blank-hint', id: `${id}-hint` }, blank.hint));
  }

  /** @param {Blank} blank @param {Field} field */
  choice(blank, field) {
    const alone = this.blanks.length === 2;
    const buttons = blank.choices.map((choice) =>
      element('button', {
        type: 'button', class: 'big', 'aria-pressed': String(this.values[blank.name].text === choice.value),
        onclick: (event) => {
          for (const each of buttons) each.setAttribute('aria-pressed', String(each === event.currentTarget));
          this.typed(blank.name, { text: choice.value, unit: '' });
          if (alone) this.saveNow();
        },
      }, choice.right ? `✓ ${choice.words}` : choice.words, ...(choice.right && field.limit !== choice.words ? [element('span', { class: 'blank-hint' }, `as it should be: ${field.limit}`)] : [])));
    return element('div', { class: 'blank-choice', role: 'group', 'aria-label': blank.words }, ...buttons);
  }

  /** The number pad and the units belong to this input now. @param {HTMLInputElement|null} input */
  ready(input) {
    const blank = this.blanks.find((each) => each.name === input?.dataset.name);
    if (!input || !blank) return;
    this.active = input;
    this.pad.sign(blank.signed);
    const known = this.values[blank.name].unit;
    const units = blank.units.includes(known) || !known ? blank.units : [...blank.units, known];
    this.units.replaceChildren(...(units.length < 2 ? [] : units).map((unit) =>
      element('button', {
        type: 'button', tabindex: 0, 'aria-pressed': String(unit === known), onpointerdown: (event) => event.preventDefault(),
        onclick: () => this.measuredIn(blank, unit),
      }, unitWords(unit))));
    for (const each of this.element.querySelectorAll('.blank')) each.classList.toggle('active', each.contains(input));
  }

  /** All blanks that share their units go over to one. @param {Blank} blank @param {string} unit */
  measuredIn(blank, unit) {
    this.unitChosen.set(blank.units.join(), unit);
    for (const each of this.blanks.filter((other) => other.units.join() === blank.units.join())) {
      this.values[each.name] = { ...this.values[each.name], unit };
      const shown = this.element.querySelector(`#blank-${each.name} + .blank-unit`);
      if (shown) shown.textContent = unitWords(unit);
    }
    this.ready(this.active);
    this.typed(blank.name, this.values[blank.name]);
  }

  /** @param {string} name @param {{text: string, unit: string}} value */
  typed(name, value) {
    if (!this.field) return;
    this.values = { ...this.values, [name]: value };
    this.typing = true;
    this.readings.type(this.field, this.formKey, this.values);
    this.typing = false;
    this.signature = this.signed();
    this.judgeSoon(JUDGE_AFTER_MS);
  }

  /** @param {KeyboardEvent} event @param {HTMLInputElement} input */
  pressed(event, input) {
    if (event.key !== 'Enter') return;
    event.preventDefault();
    const empty = this.blanks.filter((blank) => (blank.needed || blank.name === 'tight') && !this.values[blank.name].text.trim());
    const other = empty.find((blank) => blank.name !== input.dataset.name);
    if (other && input.value.trim()) this.focus(other.name);
    else this.saveNow();
  }

  /** @param {string} [name] */
  focus(name) {
    const found = name ? `#blank-${name}` : '.reading-blanks input[data-name], .blank-choice button';
    /** @type {HTMLElement|null} */ (this.element.querySelector(found))?.focus({ preventScroll: true });
  }

  get lacks() {
    return this.blanks.filter((blank) => blank.needed && !this.values[blank.name].text.trim());
  }

  /** @param {number} after ms */
  judgeSoon(after) {
    clearTimeout(this.judging);
    this.judging = window.setTimeout(async () => {
      const { field, values } = this;
      if (!field || !this.readings.draft(field)) return this.said(field?.verdicts ?? [], []);
      if (this.lacks.length) return this.said([], []);
      try {
        const { verdicts, others, refused } = await this.readings.judge(field, values);
        if (this.field !== field || this.values !== values) return;
        if (refused) this.refused(refused);
        else this.said(verdicts, others);
      } catch (bad) {
        if (!(bad instanceof Refused)) throw bad;
        if (this.field === field && this.values === values) this.refused(bad.status ? bad.message : '');
      }
    }, after);
  }

  /** @param {Verdict[]} verdicts @param {Verdict[]} others what would change elsewhere at this place */
  said(verdicts, others) {
    this.shown = verdicts;
    const worst = verdicts.find((verdict) => verdict.severity) ?? verdicts[0];
    this.gist.dataset.severity = worst ? (worst.severity ?? 'note') : '';
    this.gist.textContent = worst ? gistOf(worst) : '';
    this.verdict.replaceChildren(...verdicts.map((verdict) => verdictLine(verdict, this.field?.source)), ...others.map((verdict) =>
      element('div', { class: 'reading-other' }, element('p', { class: 'quiet' }, `With it, ${verdict.what}:`), verdictLine(verdict))));
  }

  /** @param {string} words */
  refused(words) {
    this.shown = [];
    this.gist.dataset.severity = words ? 'stop' : '';
    this.gist.textContent = words;
    this.verdict.replaceChildren(...(words ? [element('p', { class: 'reading-refused' }, words)] : []));
  }

  saveNow() {
    const { field, readings } = this;
    if (!field) return;
    const draft = readings.draft(field);
    if (!draft) return this.hands.next();
    const [lack] = this.lacks;
    if (lack) {
      this.refused(`${lack.words}: nothing is typed here yet`);
      this.focus(lack.name);
      return;
    }
    const stays = this.shown.some((verdict) => verdict.verdict === 'outside');
    const choice = this.blanks.length === 2 && this.blanks[0].kind === 'choice';
    const right = this.blanks[0].choices.find((each) => each.right);
    const wrong = choice && right && right.value !== this.values[this.blanks[0].name].text;
    const sent = readings.send(draft);
    if (!stays && !wrong && !draft.conflict) this.hands.next();
    return sent;
  }

  /** What has changed beside the blanks: saved, not saved, changed by somebody else. */
  update() {
    const { readings, field } = this;
    if (!field) return;
    const draft = readings.draft(field);
    this.save.textContent = draft ? 'Save' : 'Next open';
    const theirs = draft?.conflict ?? (draft && JSON.stringify(draft.seen) !== JSON.stringify(field.content) ? field : null);
    if (draft && theirs) this.state.replaceChildren(conflictLine(readings, draft, theirs));
    else if (draft) this.state.replaceChildren(element('p', { class: draft.error ? 'reading-refused' : 'quiet' }, this.draftWords(draft)));
    else if (field.content) this.state.replaceChildren(element('p', { class: 'quiet' }, this.savedWords(field)));
    else this.state.replaceChildren();
  }

  /** @param {Draft} draft */
  draftWords(draft) {
    if (draft.error) return `Not saved: ${draft.error}`;
    if (!this.readings.connection.online) return draft.wanted ? 'Not connected: kept here, saved as soon as the machine answers.' : 'Not connected: what you type is kept here.';
    return draft.wanted ? 'Saving ...' : 'Not saved yet.';
  }

  /** @param {Field} field */
  savedWords(field) {
    const { saved, bench } = this.readings;
    const mine = saved && saved.draft.place === bench?.place && saved.draft.path === field.path && JSON.stringify(saved.field.content) === JSON.stringify(field.content);
    const { by, at } = this.readings.whoWrote(bench?.place ?? '', field);
    const note = field.content?.note ? ` (${field.content.note})` : '';
    return mine ? `Saved ${clockTime(saved.at)} by ${field.content?.by ?? this.readings.by}: ${field.reading}${note}` : `In the record: ${field.reading}${note}, by ${by}${at}`;
  }
}

/**
 * @param {Verdict} verdict
 * @param {string} [source] of the limit, where that is said beside it already
 */
export function verdictLine(verdict, source = '') {
  return element('div', { class: 'reading-said', 'data-severity': verdict.severity ?? 'note' },
    element('p', { class: 'verdict' }, gistOf(verdict)),
    ...(verdict.remedy ? [element('p', {}, `Do: ${verdict.remedy}`)] : []),
    element('p', { class: 'quiet' }, `${verdict.reading}, held against ${verdict.limit || 'no limit'}${verdict.limit_source === source ? '' : ` (${verdict.limit_source})`}`));
}

/** @param {Verdict} verdict */
function gistOf(verdict) {
  return `${SIGNS[verdict.severity ?? 'note']} ${verdict.verdict}${verdict.text ? `, ${verdict.text}` : ''}`;
}

/**
 * Somebody else was there first: what they wrote, what was typed here, and who is asked.
 * @param {Readings} readings
 * @param {Draft} draft
 * @param {Field} theirs
 */
export function conflictLine(readings, draft, theirs) {
  const { by, at } = readings.whoWrote(draft.place, theirs);
  const wrote = theirs.content ? `${by} wrote ${theirs.reading}${at}` : 'Somebody took this entry out';
  return element('div', { class: 'reading-conflict', role: 'alert' },
    element('p', {}, element('strong', {}, `${draft.place}, ${draft.what}: `), `${wrote}; you ${draft.asIs ? 'put back' : 'typed'} ${typedWords(draft)}.`),
    element('div', { class: 'reading-buttons' },
      element('button', { type: 'button', onclick: () => readings.keepTheirs(draft) }, 'Keep theirs'),
      element('button', { type: 'button', onclick: () => readings.writeMine(draft, theirs) }, 'Write mine')));
}

/** @param {Draft} draft */
export function typedWords(draft) {
  if (!draft.values) return 'nothing: the entry taken out';
  const said = Object.entries(draft.values).filter(([name, value]) => value.text.trim() && name !== 'by' && name !== 'on');
  return said.map(([name, value]) => `${name === 'value' ? '' : `${name} `}${value.text} ${unitWords(value.unit)}`.trim()).join(', ') || 'nothing';
}
