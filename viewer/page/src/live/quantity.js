import { element } from '../elements.js';

/**
 * A quantity of the engine file that can be tried: viewer/serve/quantities.py.
 * @typedef {object} Quantity
 * @property {string} key
 * @property {string} words
 * @property {string} value
 * @property {number} number
 * @property {string} unit
 * @property {number} digits
 * @property {number} step
 * @property {string} known 'assumed' or 'in doubt' and how far; empty where it is measured
 * @property {boolean} assumed
 */

const WRITTEN = /^\s*([-+]?(?:\d+\.?\d*|\.\d+))\s*(.*?)\s*$/;

/**
 * A value a step up or down, in the unit that it is written in.
 * @param {Quantity} quantity
 * @param {string} text
 * @param {1|-1} sense
 * @returns {string}
 */
export function stepped(quantity, text, sense) {
  const found = WRITTEN.exec(text);
  const own = !found || found[2] === quantity.unit || !found[2];
  const number = found ? Number(found[1]) : quantity.number;
  if (own) return `${(number + sense * quantity.step).toFixed(quantity.digits)} ${quantity.unit}`;
  const decimals = (found[1].split('.')[1] ?? '').length;
  return `${(number + sense * 10 ** -decimals).toFixed(decimals)} ${found[2]}`;
}

/**
 * Those whose key or words hold every word that is looked for; those whose key begins so first.
 * @param {Quantity[]} quantities
 * @param {string} text
 * @returns {Quantity[]}
 */
export function found(quantities, text) {
  const words = text.toLowerCase().split(/\s+/).filter(Boolean);
  const fits = quantities.filter((one) => words.every((word) => `${one.key} ${one.words}`.toLowerCase().includes(word)));
  const first = (/** @type {Quantity} */ one) => (words.length && one.key.startsWith(words[0]) ? 0 : 1);
  return fits.sort((a, b) => first(a) - first(b));
}

/**
 * One quantity that is being tried: what it is, a field, a step up and down, and what is wrong with the value.
 * @param {Quantity} quantity
 * @param {() => void} changed
 * @param {() => void} dropped
 */
export function quantityRow(quantity, changed, dropped) {
  const id = `try-${quantity.key.replace(/[^a-z0-9]/gi, '-')}`;
  const field = element('input', {
    type: 'text', id, class: 'value-field', value: quantity.value, autocomplete: 'off', spellcheck: 'false',
    'aria-describedby': `${id}-wrong`, oninput: changed, onchange: changed,
  });
  const wrong = element('p', { id: `${id}-wrong`, class: 'wrong', role: 'alert' });
  const step = (/** @type {1|-1} */ sense) => () => {
    field.value = stepped(quantity, field.value, sense);
    changed();
  };
  const more = [`in the file: ${quantity.value}`, quantity.known].filter(Boolean).join(', ');
  return {
    quantity,
    field,
    /** @param {string} text */
    refuse(text) {
      wrong.textContent = text;
      field.setAttribute('aria-invalid', String(Boolean(text)));
    },
    element: element(
      'li',
      { class: 'line tried' },
      element('label', { for: id }, element('strong', {}, quantity.key), quantity.words ? ` ${quantity.words}` : ''),
      element('p', { class: 'quiet' }, more),
      element(
        'div',
        { class: 'value-hands' },
        element('button', { type: 'button', 'aria-label': `${quantity.key}: a step down`, onclick: step(-1) }, '−'),
        field,
        element('button', { type: 'button', 'aria-label': `${quantity.key}: a step up`, onclick: step(1) }, '+'),
        element('button', { type: 'button', class: 'quiet', 'aria-label': `${quantity.key}: as in the file`, onclick: dropped }, 'Take out'),
      ),
      wrong,
    ),
  };
}
