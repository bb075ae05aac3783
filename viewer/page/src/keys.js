import { element } from './elements.js';
import { again } from './numbers.js';
import { WORDS } from './words.js';
/** @import {Journey} from './journey.js' */
/** @import {Store} from './store.js' */

/**
 * @typedef {object} Key
 * @property {string} key as the browser names it, `Shift+` before it where it is held
 * @property {string} shown
 * @property {string} words
 * @property {(store: Store, journey: Journey) => void} run
 */

/** The same keys as in the window, as far as the page has what they do. @type {Key[]} */
const KEYS = [
  { key: 'ArrowRight', shown: '→', words: 'on by 1°', run: (_s, j) => j.turn(1) },
  { key: 'ArrowLeft', shown: '←', words: 'back by 1°', run: (_s, j) => j.turn(-1) },
  { key: 'Shift+ArrowRight', shown: 'shift →', words: 'on by 0.1°', run: (_s, j) => j.turn(0.1) },
  { key: 'Shift+ArrowLeft', shown: 'shift ←', words: 'back by 0.1°', run: (_s, j) => j.turn(-0.1) },
  { key: 'ArrowUp', shown: '↑', words: 'on by 10°', run: (_s, j) => j.turn(10) },
  { key: 'ArrowDown', shown: '↓', words: 'back by 10°', run: (_s, j) => j.turn(-10) },
  { key: ' ', shown: 'space', words: 'run, stop', run: (s, j) => j.play(s.state.playing < 0 ? -1 : 1) },
  { key: 'Shift+ ', shown: 'shift space', words: 'run backwards', run: (_s, j) => j.play(-1) },
  { key: 't', shown: 'T', words: 'next top dead centre of the bore', run: (_s, j) => j.deadCentre('top_deg') },
  { key: 'b', shown: 'B', words: 'next bottom dead centre', run: (_s, j) => j.deadCentre('bottom_deg') },
  { key: 'w', shown: 'W', words: 'go to the worst place', run: (_s, j) => j.worst() },
  { key: 'Shift+w', shown: 'shift W', words: 'the like place of the next bore', run: (_s, j) => j.alike() },
  { key: 'n', shown: 'N', words: 'next place', run: (_s, j) => j.next(1) },
  { key: 'Shift+n', shown: 'shift N', words: 'the one before', run: (_s, j) => j.next(-1) },
  { key: 'Backspace', shown: 'backspace', words: 'back to where one stood', run: (_s, j) => j.back() },
  { key: 'a', shown: 'A', words: 'this bore alone', run: (s) => s.set({ alone: !s.state.alone, touched: true }) },
  { key: 'e', shown: 'E', words: 'spread piston, rings, pin, rod', run: (s) => s.set({ spread: s.state.spread ? 0 : 1, touched: true }) },
  { key: 'x', shown: 'X', words: 'block: glass, cut, solid, away', run: nextBlock },
  { key: 'End', shown: 'end', words: 'fit the view', run: (_s, j) => j.fit() },
  .../** @type {[string, keyof typeof WORDS.views][]} */ ([
    ['i', 'iso'], ['f', 'front'], ['r', 'rear'], ['l', 'left'], ['k', 'right'], ['o', 'top'], ['u', 'below'], ['v', 'bore'],
  ]).map(([key, view]) => ({
    key, shown: key.toUpperCase(), words: `look: ${WORDS.views[view].toLowerCase()}`,
    run: (/** @type {Store} */ s) => s.set({ view: again(view, s.state.view), touched: true }),
  })),
];

/** @param {Store} store */
function nextBlock(store) {
  const ways = /** @type {('glass'|'cut'|'solid'|'hidden')[]} */ (Object.keys(WORDS.blocks));
  store.set({ block: ways[(ways.indexOf(store.state.block) + 1) % ways.length], touched: true });
}

/**
 * Obey the keys, unless what has the focus needs them itself. The dialog lists them.
 * @param {Store} store
 * @param {Journey} journey
 * @returns {HTMLDialogElement}
 */
export function keysDialog(store, journey) {
  const dialog = element(
    'dialog',
    { class: 'keys', 'aria-label': WORDS.keys },
    element('h2', {}, WORDS.keys),
    element('dl', {}, ...KEYS.flatMap((one) => [element('dt', {}, element('kbd', {}, one.shown)), element('dd', {}, one.words)])),
    element('form', { method: 'dialog' }, element('button', {}, WORDS.close)),
  );
  document.addEventListener('keydown', (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey || event.defaultPrevented || dialog.open) return;
    if (event.key === '?' && !isTyped(event.target)) {
      dialog.showModal();
      return;
    }
    const name = `${event.shiftKey ? 'Shift+' : ''}${event.key.length === 1 ? event.key.toLowerCase() : event.key}`;
    const key = KEYS.find((one) => one.key === name);
    if (!key || needs(event.target, event.key)) return;
    event.preventDefault();
    key.run(store, journey);
  });
  return dialog;
}

/** @param {EventTarget|null} target */
function isTyped(target) {
  return target instanceof HTMLElement && target.matches('input:not([type=range], [type=radio], [type=checkbox]), textarea, select, [contenteditable]');
}

/**
 * Whether what has the focus needs a key itself.
 * @param {EventTarget|null} target
 * @param {string} key
 */
function needs(target, key) {
  if (!(target instanceof HTMLElement) || target.closest('dialog:not([open])')) return false; // the focus lags behind
  if (isTyped(target)) return true;
  if (key === ' ') return target.matches('button, summary, input, a, [role=tab]');
  const moves = key.startsWith('Arrow') || key === 'Home' || key === 'End';
  if (moves) return target.matches('input, [role=tab]') || (!key.endsWith('Left') && !key.endsWith('Right') && scrolls(target));
  return false;
}

/** @param {HTMLElement} target */
function scrolls(target) {
  return target.matches('.panel') && target.scrollHeight > target.clientHeight;
}
