import { drawn, element } from './elements.js';
import { WORDS } from './words.js';
/** @import {Store} from './store.js' */

const SLOW_DEG_S = 24;
const SWING_S = 7;
const SWING_LONGEST_S = 0.1;
const FIRST_HANDS = ['pointerdown', 'wheel', 'touchstart', 'keydown'];

/**
 * The customer's picture moves by itself until a hand takes over: the crank round and round, or with a mistake to and fro
 * over the angles at which it shows. A button holds it still and lets it go on; a touch of the picture ends it for good.
 * @param {Store} store
 * @returns {HTMLElement} what stands over the picture
 */
export function autoplay(store) {
  const { page } = store;
  const over = element('div', { class: 'by-itself', hidden: true });
  const { mistake } = page;
  if (mistake?.crank_deg != null) store.set({ crank_deg: mistake.crank_deg, bore: mistake.bore ?? store.state.bore });
  if (page.voice !== 'customer' || matchMedia('(prefers-reduced-motion: reduce)').matches) return over;

  let moves = true;
  let ended = false;
  let last = performance.now();
  let since_s = 0;
  const [low, high] = mistake?.swing_deg ?? [0, 0];
  // the swing begins where the mistake shows
  const middle = (low + high) / 2;
  const reach = Math.max((high - low) / 2, 1);
  const phase = Math.asin(Math.min(1, Math.max(-1, ((mistake?.crank_deg ?? middle) - middle) / reach)));
  /** @param {number} now */
  const tick = (now) => {
    if (ended || !moves) return;
    const passed = Math.min((now - last) / 1000, SWING_LONGEST_S);
    last = now;
    since_s += passed;
    const swung = middle + reach * Math.sin(phase + (2 * Math.PI * since_s) / SWING_S);
    store.set({ crank_deg: mistake ? swung : store.state.crank_deg + SLOW_DEG_S * passed });
    requestAnimationFrame(tick);
  };
  const go = () => {
    last = performance.now();
    requestAnimationFrame(tick);
  };
  const icon = () => drawn('svg', { viewBox: '0 0 20 20', 'aria-hidden': 'true', class: 'icon' }, drawn('path', { d: moves ? 'M5 4h3.5v12H5zM11.5 4H15v12h-3.5z' : 'M5 3l12 7-12 7z' }));
  const button = element('button', {
    type: 'button', class: 'hold',
    onclick: () => {
      moves = !moves;
      name();
      if (moves) go();
    },
  });
  const name = () => {
    button.replaceChildren(icon(), element('span', {}, moves ? WORDS.pause : WORDS.goOn));
  };
  const end = () => {
    ended = true;
    over.hidden = true;
    for (const kind of FIRST_HANDS) room?.removeEventListener(kind, touched, true);
    quiet();
  };
  const touched = (/** @type {Event} */ event) => {
    if (!over.contains(/** @type {Node} */ (event.target))) store.set({ touched: true });
  };
  const quiet = store.listen((state, changed) => {
    if (state.touched || (changed.has('playing') && state.playing)) end();
  });
  /** @type {HTMLElement|null} */
  let room = null;
  queueMicrotask(() => {
    room = over.parentElement;
    for (const kind of FIRST_HANDS) room?.addEventListener(kind, touched, { capture: true, passive: true });
  });
  name();
  over.append(button);
  over.hidden = false;
  go();
  return over;
}
