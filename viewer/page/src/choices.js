import { element } from './elements.js';

let groups = 0;

/**
 * A few choices side by side, one of them chosen: radio buttons in looks of one bar.
 * @template {string|number} T
 * @param {string} label
 * @param {[T, string][]} options
 * @param {T} chosen
 * @param {(value: T) => void} onchoose
 * @returns {{element: HTMLFieldSetElement, choose: (value: T) => void}}
 */
export function choices(label, options, chosen, onchoose) {
  const name = `choice-${(groups += 1)}`;
  const inputs = options.map(([value]) =>
    element('input', { type: 'radio', name, value: String(value), onchange: () => onchoose(value) }),
  );
  const made = element(
    'fieldset',
    { class: 'choices' },
    element('legend', {}, label),
    ...options.map(([, words], i) => element('label', {}, inputs[i], element('span', {}, words))),
  );
  const choose = (/** @type {T} */ value) => {
    options.forEach(([one], i) => {
      inputs[i].checked = one === value;
    });
  };
  choose(chosen);
  return { element: made, choose };
}

/**
 * A list that drops down.
 * @template {string|number} T
 * @param {string} label
 * @param {[T, string][]} options
 * @param {T} chosen
 * @param {(value: T) => void} onchoose
 * @returns {{element: HTMLLabelElement, choose: (value: T) => void}}
 */
export function dropDown(label, options, chosen, onchoose) {
  const select = element(
    'select',
    { onchange: () => onchoose(options[select.selectedIndex][0]) },
    ...options.map(([value, words]) => element('option', { value: String(value) }, words)),
  );
  const choose = (/** @type {T} */ value) => {
    select.selectedIndex = options.findIndex(([one]) => one === value);
  };
  choose(chosen);
  return { element: element('label', { class: 'drop' }, element('span', {}, label), select), choose };
}

/**
 * A button that stays pressed.
 * @param {string} words
 * @param {string} hint
 * @param {(on: boolean) => void} onpress
 * @returns {{element: HTMLButtonElement, press: (on: boolean) => void}}
 */
export function toggle(words, hint, onpress) {
  const made = element(
    'button',
    { type: 'button', class: 'toggle', title: hint, 'aria-pressed': 'false', onclick: () => onpress(made.getAttribute('aria-pressed') !== 'true') },
    words,
  );
  return { element: made, press: (on) => made.setAttribute('aria-pressed', String(on)) };
}
