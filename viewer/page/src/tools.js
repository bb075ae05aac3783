import { choices, dropDown, toggle } from './choices.js';
import { element } from './elements.js';
import { again } from './numbers.js';
import { WORDS } from './words.js';
/** @import {Journey} from './journey.js' */
/** @import {Store} from './store.js' */

/**
 * What the picture shows: which bore, how the block, from where.
 * @param {Store} store
 * @param {Journey} journey
 * @returns {HTMLElement}
 */
export function toolRow(store, journey) {
  const row = element('div', { class: 'tools', role: 'group', 'aria-label': WORDS.tools });
  let offered = '';
  let forget = () => {};
  const fill = () => {
    const offers = JSON.stringify([store.page.variants.map((one) => one.words), store.variant.bores.map((one) => one.bore)]);
    if (offers === offered) return;
    offered = offers;
    forget();
    forget = offer(row, store, journey);
  };
  store.listen((_state, changed) => {
    if (changed.has('shown')) fill();
  });
  fill();
  return row;
}

/**
 * @param {HTMLElement} row
 * @param {Store} store
 * @param {Journey} journey
 * @returns {() => void} to listen no longer
 */
function offer(row, store, journey) {
  const { state, variant, page } = store;
  const bore = choices(
    WORDS.bore,
    variant.bores.map((one) => [one.bore, String(one.bore)]),
    state.bore,
    (value) => store.set({ bore: value, touched: true }),
  );
  const alone = toggle(WORDS.alone, WORDS.aloneHint, (on) => store.set({ alone: on, touched: true }));
  const spread = toggle(WORDS.spread, WORDS.spreadHint, (on) => store.set({ spread: on ? 1 : 0, touched: true }));
  const block = choices(WORDS.block, entries(WORDS.blocks), state.block, (value) => store.set({ block: value, touched: true }));
  const view = dropDown(WORDS.view, entries(WORDS.views), 'iso', (value) =>
    store.set({ view: again(value, store.state.view), touched: true }),
  );
  const fit = element('button', { type: 'button', onclick: () => journey.fit() }, WORDS.fit);
  const more = page.variants.length > 1 ? variantSwitch(store) : null;
  const rest = [bore.element, alone.element, spread.element, block.element, view.element, fit];
  alone.press(state.alone);
  spread.press(state.spread > 0);
  row.replaceChildren(...(more ? [more.element] : []), ...rest);
  return store.listen((now, changed) => {
    if (changed.has('shown')) more?.choose(shownKey(now.shown));
    if (changed.has('bore')) bore.choose(now.bore);
    if (changed.has('alone')) alone.press(now.alone);
    if (changed.has('spread')) spread.press(now.spread > 0);
    if (changed.has('block')) block.choose(now.block);
    if (changed.has('view')) view.choose(/** @type {keyof typeof WORDS.views} */ (now.view.split('.')[0]));
  });
}

/**
 * As designed, as built, or both beside each other.
 * @param {Store} store
 */
function variantSwitch(store) {
  const { variants } = store.page;
  /** @type {[string, string][]} */
  const options = variants.map((one) => [one.key, capital(one.words)]);
  options.push(['both', WORDS.together]);
  return choices(WORDS.variants, options, shownKey(store.state.shown), (key) =>
    store.set({ shown: key === 'both' ? variants.slice(0, 2).map((one) => one.key) : [key], place: null, touched: true }),
  );
}

/** @param {string[]} shown */
function shownKey(shown) {
  return shown.length > 1 ? 'both' : shown[0];
}

/** @param {string} words */
function capital(words) {
  return words.charAt(0).toUpperCase() + words.slice(1);
}

/**
 * @template {string} K
 * @param {Record<K, string>} record
 * @returns {[K, string][]}
 */
function entries(record) {
  return /** @type {[K, string][]} */ (Object.entries(record));
}
