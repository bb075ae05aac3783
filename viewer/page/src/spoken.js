import { element } from './elements.js';
import { angleWords, wrapped } from './numbers.js';
/** @import {Store} from './store.js' */

const QUIET_MS = 1200;

/**
 * Says to who listens instead of looking what was gone to, and, once it stands, where the crank is.
 * @param {Store} store
 * @returns {HTMLElement}
 */
export function spoken(store) {
  const region = element('p', { class: 'unseen', role: 'status', 'aria-live': 'polite' });
  let waiting = 0;
  store.listen((state, changed) => {
    const { place } = store;
    if (changed.has('place') && place) {
      clearTimeout(waiting);
      waiting = 0;
      const where = place.bore === null ? '' : `, bore ${place.bore}`;
      region.textContent = [`${place.words}${where}`, place.value, place.limit, place.verdict].filter(Boolean).join(', ');
    } else if (changed.has('crank_deg') && !state.playing) {
      clearTimeout(waiting);
      waiting = setTimeout(() => {
        region.textContent = `Crank at ${angleWords(wrapped(store.state.crank_deg, store.variant.cycle_deg))}`;
      }, QUIET_MS);
    }
  });
  return region;
}
