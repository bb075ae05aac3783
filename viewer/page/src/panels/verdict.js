import { element } from '../elements.js';
import { SIGNS } from '../words.js';

/**
 * A verdict: its sign and its words, never by colour alone.
 * @param {'stop'|'look'|'note'|''} severity
 * @param {string} words
 * @returns {HTMLElement}
 */
export function verdict(severity, words) {
  const sign = severity === '' ? '' : SIGNS[severity];
  return element('span', { class: 'verdict', 'data-severity': severity }, element('span', { class: 'verdict-sign', 'aria-hidden': 'true' }, sign), ` ${words}`);
}
