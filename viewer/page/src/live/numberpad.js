import { element } from '../elements.js';

const PAD_KEYS = ['7', '8', '9', '4', '5', '6', '1', '2', '3', '.', '0', '⌫'];
const PAD_WORDS = { '.': 'decimal point', '⌫': 'delete the last digit', '±': 'below zero' };

/**
 * Digits for a thumb: they go where the text cursor stands, so that a keyboard may be mixed in.
 * @param {() => HTMLInputElement|null} target what is typed into
 * @returns {{element: HTMLElement, sign: (may: boolean) => void}} `sign`: whether a number below zero makes sense
 */
export function numberPad(target) {
  const press = (/** @type {string} */ key) => {
    const input = target();
    if (!input) return;
    input.value = padded(input.value, key);
    input.dispatchEvent(new Event('input', { bubbles: true }));
  };
  const key = (/** @type {string} */ words) =>
    element('button', {
      type: 'button', class: 'pad-key', tabindex: -1, 'aria-label': PAD_WORDS[/** @type {keyof typeof PAD_WORDS} */ (words)] ?? words,
      onpointerdown: (event) => event.preventDefault(), onclick: () => press(words),
    }, words);
  const sign = key('±');
  const made = element('div', { class: 'pad', role: 'group', 'aria-label': 'Number pad' }, ...PAD_KEYS.map(key), sign);
  return { element: made, sign: (may) => { sign.hidden = !may; } };
}

/** A number after one more key. @param {string} text @param {string} key */
export function padded(text, key) {
  if (key === '⌫') return text.slice(0, -1);
  if (key === '±') return text.startsWith('-') ? text.slice(1) : `-${text}`;
  if (key === '.') return text.includes('.') ? text : `${text || '0'}.`;
  return text === '0' ? key : text + key;
}
