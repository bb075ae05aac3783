/** @import {Listener, Store} from './store.js' */

const WORDS_MS = 150;

/**
 * Words and marks that follow the crank need not follow every frame: while it turns by itself they are written some
 * times a second, so that the picture has the machine to itself, and once more where it stops.
 * @param {Store} store
 * @param {Listener} listener
 * @returns {Listener}
 */
export function paced(store, listener) {
  let written = -WORDS_MS;
  return (state, changed) => {
    const byItself = state.playing !== 0 || (store.page.voice === 'customer' && !state.touched);
    if (byItself && changed.size === 1 && changed.has('crank_deg')) {
      const now = performance.now();
      if (now - written < WORDS_MS) return;
      written = now;
    }
    const stops = changed.has('playing') || changed.has('touched');
    listener(state, stops ? new Set([...changed, 'crank_deg']) : changed);
  };
}
