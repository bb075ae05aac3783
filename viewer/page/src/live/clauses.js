import { element } from '../elements.js';

/** Clauses that need nothing more, as geometry/diagnose/felt_words.py understands them. */
const PLAIN = [
  'bound', 'heavy', 'turns freely', 'once per turn', 'once per two turns', 'only when hot', 'head on', 'head off',
  'burns oil', 'low compression', 'knocks', 'knocks when cold', 'knocks under load', 'low oil pressure',
];
/** Clauses with a crank angle behind them, and with a place behind them. */
const ANGLED = ['tight at', 'click at'];
const PLACED = [
  { words: 'after bore', places: 'bores' },
  { words: 'no side play in', places: 'bores' },
  { words: 'side play good in', places: 'bores' },
  { words: 'crankpin scored in', places: 'bores', written: (/** @type {string} */ place) => `crankpin ${place} scored` },
  { words: 'after main', places: 'mains' },
];

/**
 * Buttons and fields that make clauses.
 * @param {{examples: string[], bores: number[], mains: number[]}} said
 * @param {(clause: string) => void} add
 * @returns {Node[]}
 */
export function clauseHands(said, add) {
  const angle = element('input', { type: 'number', min: -360, max: 720, step: 1, 'aria-label': 'Crank angle, degrees', placeholder: 'deg' });
  const angled = ANGLED.map((words) =>
    element('button', { type: 'button', onclick: () => (angle.value ? add(`${words} ${angle.value}`) : angle.focus()) }, `${words} ..`),
  );
  const plain = chooser('how it turns, runs ..', PLAIN.map((words) => [words, words]), add);
  const placed = PLACED.map(({ words, places, written }) => {
    const options = (places === 'mains' ? said.mains : said.bores).map(String);
    return chooser(`${words} ..`, options.map((place) => [`${words} ${place}`, written ? written(place) : `${words} ${place}`]), add);
  });
  const list = element('datalist', { id: 'felt-words' }, ...said.examples.map((words) => element('option', { value: words })));
  const own = element('input', { type: 'text', class: 'value-field', list: 'felt-words', 'aria-label': 'In your own words', placeholder: 'in your own words', autocomplete: 'off' });
  const form = element(
    'form',
    {
      class: 'value-hands',
      onsubmit: (event) => {
        event.preventDefault();
        own.value.split(';').map((words) => words.trim()).filter(Boolean).forEach(add);
        own.value = '';
      },
    },
    own,
    list,
    element('button', {}, 'Add'),
  );
  return [
    element('div', { class: 'clauses' }, angle, ...angled, plain, ...placed),
    form,
  ];
}

/**
 * A list to choose a clause from, which is then added.
 * @param {string} name
 * @param {string[][]} options what is read, and what is added
 * @param {(clause: string) => void} add
 */
function chooser(name, options, add) {
  const select = element(
    'select',
    {
      'aria-label': name,
      onchange: () => {
        if (select.value) add(select.value);
        select.value = '';
      },
    },
    element('option', { value: '' }, name),
    ...options.map(([words, clause]) => element('option', { value: clause }, words)),
  );
  return select;
}
