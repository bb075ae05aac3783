import { element } from './elements.js';
import { WORDS } from './words.js';
/** @import {Store} from './store.js' */
/** @import {Picture} from './types.js' */

/**
 * Pictures made beforehand, in place of the solids where the browser cannot draw them.
 * @param {Store} store
 * @returns {HTMLElement}
 */
export function fallback(store) {
  return element(
    'div',
    { class: 'no-stage', tabindex: 0, role: 'region', 'aria-label': WORDS.picture },
    element('p', {}, WORDS.noPicture),
    ...store.page.pictures.map((picture) => pictured(picture)),
  );
}

/**
 * A picture with its words. In a page from a file its bytes stand in what is printed, and it is named by its id there.
 * @param {Picture} picture
 */
export function pictured(picture) {
  const { source, words, width, height } = picture;
  const printed = source.startsWith('#') ? document.querySelector(source) : null;
  const src = printed instanceof HTMLImageElement ? printed.src : source;
  return element('figure', {}, element('img', { src, alt: words, width, height }), element('figcaption', { 'aria-hidden': 'true' }, words));
}
