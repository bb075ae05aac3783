import { element } from '../elements.js';
import { SIGNS } from '../words.js';
import { conflictLine, typedWords } from './entry.js';
import { clockTime } from './readings.js';
/** @import {Field, Readings, Told} from './readings.js' */

const MOST_SHOWN = 40;

/**
 * Every place with how far it is.
 * @param {Readings} readings
 * @param {(place: string) => void} choose
 */
export function placeButtons(readings, choose) {
  return (readings.bench?.places ?? []).map((at) =>
    element('button', {
      type: 'button', 'aria-pressed': String(at.place === readings.bench?.place), 'aria-label': `${at.place}: ${at.done} of ${at.of}`,
      'data-place': at.place, onclick: () => choose(at.place),
    }, element('span', {}, at.place), ' ', element('span', { class: at.done === at.of ? 'count all' : 'count' }, `${at.done === at.of ? '✓ ' : ''}${at.done} of ${at.of}`)));
}

/**
 * What can be entered at the place, step by step.
 * @param {Readings} readings
 * @param {string} chosen
 * @param {(path: string) => void} choose
 */
export function fieldList(readings, chosen, choose) {
  const fields = readings.bench?.fields ?? [];
  const items = (/** @type {Field[]} */ some) => some.map((field) => fieldItem(readings, field, chosen, choose));
  const asked = fields.filter((field) => field.state !== 'extra');
  const extra = fields.filter((field) => field.state === 'extra');
  const steps = [...new Set(asked.map((field) => field.step))];
  return [
    ...steps.map((step) => element('section', {}, element('h3', {}, step), element('ol', {}, ...items(asked.filter((field) => field.step === step))))),
    element('details', { open: extra.some((field) => field.path === chosen) },
      element('summary', {}, `Not asked for, but can be entered (${extra.length})`), element('ol', {}, ...items(extra))),
  ];
}

/**
 * @param {Readings} readings
 * @param {Field} field
 * @param {string} chosen
 * @param {(path: string) => void} choose
 */
function fieldItem(readings, field, chosen, choose) {
  const draft = readings.draft(field);
  const worst = field.verdicts.find((verdict) => verdict.severity) ?? field.verdicts[0];
  const by = field.content?.by ? `, ${field.content.by}` : '';
  const said = draft ? `typed, not saved: ${typedWords(draft)}` : field.content ? `${field.reading}${by}` : field.state === 'instead' ? 'another reading does' : field.state === 'open' ? 'open' : '';
  return element('li', {},
    element('button', { type: 'button', 'aria-current': field.path === chosen ? 'true' : null, 'data-path': field.path, onclick: () => choose(field.path) },
      element('span', {}, field.what),
      element('span', { class: 'said' }, said),
      element('span', { class: 'verdict', 'data-severity': worst ? (worst.severity ?? 'note') : '' }, worst ? `${SIGNS[worst.severity ?? 'note']} ${worst.verdict}` : '')));
}

/**
 * What was typed elsewhere and is not in the record.
 * @param {Readings} readings
 * @param {string} chosen path of the field that says so itself
 * @param {(place: string, path: string) => void} go
 */
export function pendingLines(readings, chosen, go) {
  const here = `${readings.bench?.place} ${chosen}`;
  const drafts = (readings.drafts?.all ?? []).filter((draft) => draft.key !== here);
  const asked = drafts.filter((draft) => draft.conflict).map((draft) => conflictLine(readings, draft, /** @type {Field} */ (draft.conflict)));
  const rest = drafts.filter((draft) => !draft.conflict && (draft.error || !draft.wanted || !readings.connection.online)).map((draft) =>
    element('p', { class: 'pending' },
      element('span', {}, `${draft.place}, ${draft.what}: ${typedWords(draft)}, `, draft.error ? `not saved: ${draft.error}` : draft.wanted ? 'saved as soon as the machine answers' : 'typed, not saved'),
      element('button', { type: 'button', onclick: () => go(draft.place, draft.path) }, 'Go there'),
      element('button', { type: 'button', onclick: () => readings.keepTheirs(draft) }, 'Let it go')));
  return [...asked, ...rest];
}

/** What was saved last, and its way back. @param {Readings} readings */
export function lastSaved(readings) {
  const { saved, undoable } = readings;
  if (!saved) return [];
  const { draft, field, at } = saved;
  const worst = field.verdicts.find((verdict) => verdict.severity) ?? field.verdicts[0];
  const reading = field.content ? field.reading : 'taken out';
  return [
    element('p', { 'data-severity': worst?.severity ?? 'note' }, `Saved ${clockTime(at)} by ${readings.by}: ${draft.place}, ${field.what}, ${reading}`,
      ...(worst && field.content ? [element('span', { class: 'verdict' }, ` ${SIGNS[worst.severity ?? 'note']} ${worst.verdict}`)] : [])),
    ...(undoable ? [element('button', { type: 'button', class: 'undo', onclick: () => readings.takeBack(undoable) }, 'Undo')] : []),
  ];
}

/** Who changed what, the newest first. @param {Readings} readings */
export function history(readings) {
  const told = [...readings.told].reverse().slice(0, MOST_SHOWN);
  return told.map((change) =>
    element('li', {},
      element('span', {}, `${clockTime(new Date(change.at * 1000))} ${change.by || 'somebody'} (${whence(readings, change)}): ${change.place}, ${change.what}: ${change.was || 'nothing'} → ${change.now || 'taken out'}`),
      ...(change.spent ? [element('span', { class: 'quiet' }, 'taken back')] : [
        element('button', { type: 'button', onclick: () => readings.takeBack(change) }, change.page === readings.page ? 'Take back' : 'Take theirs back')])));
}

/** @param {Readings} readings @param {Told} change */
function whence(readings, change) {
  if (!change.page) return 'command line or editor';
  return change.page === readings.page ? 'here' : 'another browser';
}
