import { element } from './elements.js';
import { SIGNS } from './words.js';
/** @import {Store} from './store.js' */
/** @import {Variant} from './types.js' */

/**
 * What stands over each half of the picture, where two engines are on show side by side.
 * @param {Store} store
 * @returns {HTMLElement}
 */
export function halfNames(store) {
  const room = element('div', { class: 'half-names' });
  const fill = () => {
    const { variants } = store;
    room.hidden = variants.length < 2;
    room.replaceChildren(...variants.map((variant) => element('p', { 'data-severity': halfSeverityOf(variant) }, halfNameOf(store, variant))));
  };
  fill();
  store.listen((_state, changed) => {
    if (changed.has('shown')) fill();
  });
  return room;
}

/**
 * @param {Store} store
 * @param {Variant} variant
 */
function halfNameOf(store, variant) {
  const words = `${variant.words.charAt(0).toUpperCase()}${variant.words.slice(1)}`;
  if (variant.key === 'right') return `${SIGNS.note} ${words}`;
  if (variant.key !== 'wrong') return words;
  return `${SIGNS.stop} ${[words, store.page.mistake?.label].filter(Boolean).join(': ')}`;
}

/** @param {Variant} variant */
function halfSeverityOf(variant) {
  return { right: 'note', wrong: 'stop' }[variant.key] ?? 'none';
}
