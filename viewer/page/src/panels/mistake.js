import { element } from '../elements.js';
import { pictured } from '../fallback.js';
import { Terms } from '../glossary.js';
import { SIGNS, WORDS } from '../words.js';
/** @import {Panel} from '../panels.js' */
/** @import {Figure, Mistake} from '../types.js' */

/** A mistake: what is different, the numbers that count right and wrong, what it does, how it is found and put right. @type {Panel} */
export const mistakePanel = {
  id: 'mistake',
  title: 'Right and wrong',
  voices: ['builder', 'customer'],
  when: (page) => page.mistake !== null,
  make({ store }) {
    const room = element('article', { class: 'mistake' });
    const fill = () => {
      const { mistake, glossary } = store.page;
      room.replaceChildren(...(mistake ? mistakeTold(mistake, new Terms(glossary)) : []));
    };
    fill();
    return {
      element: room,
      update(_state, changed) {
        if (changed.has('shown')) fill();
      },
    };
  },
};

/**
 * @param {Mistake} mistake
 * @param {Terms} terms
 * @returns {Node[]}
 */
export function mistakeTold(mistake, terms) {
  const title = `${mistake.title.charAt(0).toUpperCase()}${mistake.title.slice(1)}, ${mistake.place}`;
  return [
    element('h2', {}, title),
    terms.paragraph(mistake.different),
    ...(mistake.recorded ? [element('p', { class: 'quiet' }, mistake.recorded)] : []),
    element('div', { class: 'halves' }, ...mistake.halves.map((half) => pictured(half))),
    mistakeNumbers(mistake.numbers),
    terms.paragraph(mistake.text),
    ...[['By hand', mistake.felt], ['How it is found', mistake.look_for], ['How it is put right', mistake.cure]].map(([name, text]) =>
      element('section', {}, element('h3', {}, name), terms.paragraph(text)),
    ),
  ];
}

/**
 * The numbers that count: each with right and wrong, its limit, the verdict, and who says the limit.
 * @param {Figure[]} figures
 */
function mistakeNumbers(figures) {
  return element(
    'ul',
    { class: 'numbers' },
    ...figures.map((figure) =>
      element(
        'li',
        { 'data-severity': figure.severity || 'none' },
        element('h3', {}, figure.words),
        element(
          'dl',
          {},
          ...halfOf(WORDS.right, figure.right || '–', 'right'),
          ...halfOf(WORDS.wrong, figure.wrong || '–', 'wrong'),
        ),
        ...(figure.verdict ? [element('p', { class: 'verdict' }, `${figure.severity ? `${SIGNS[figure.severity]} ` : ''}${figure.verdict}`)] : []),
        ...(figure.limit ? [element('p', { class: 'quiet' }, `Limit ${figure.limit}${figure.source ? `: ${figure.source}` : ''}`)] : []),
      ),
    ),
  );
}

/**
 * @param {string} name
 * @param {string} value
 * @param {string} kind
 */
function halfOf(name, value, kind) {
  return [element('div', { class: kind }, element('dt', {}, name), element('dd', {}, value))];
}
