import { SIGNS } from './words.js';
/** @import {Page, Variant} from './types.js' */

/**
 * What stands over one half of the picture, where two engines are on show side by side.
 * @param {Page} page
 * @param {Variant} variant
 * @returns {string}
 */
export function halfWords(page, variant) {
  const words = `${variant.words.charAt(0).toUpperCase()}${variant.words.slice(1)}`;
  if (variant.key === 'right') return `${SIGNS.note} ${words}`;
  if (variant.key !== 'wrong') return words;
  return `${SIGNS.stop} ${[words, page.mistake?.label].filter(Boolean).join(': ')}`;
}

/** How grave a half is, for its colour. @param {Variant} variant @returns {'stop'|'note'|''} */
export function halfTone(variant) {
  return variant.key === 'wrong' ? 'stop' : variant.key === 'right' ? 'note' : '';
}
