/** @import {Store} from './store.js' */

const LONGEST_S = 0.1;

/** Turns the crank while it plays, as far as the time since the last picture asks. @param {Store} store */
export function playing(store) {
  let last = 0;
  let running = false;
  /** @param {number} now */
  const tick = (now) => {
    const { state } = store;
    if (!state.playing) {
      running = false;
      return;
    }
    const passed = Math.min((now - last) / 1000, LONGEST_S);
    last = now;
    store.set({ crank_deg: state.crank_deg + state.playing * state.speed_deg_s * passed });
    requestAnimationFrame(tick);
  };
  const begin = () => {
    if (running || !store.state.playing) return;
    running = true;
    last = performance.now();
    requestAnimationFrame(tick);
  };
  store.listen((_state, changed) => {
    if (changed.has('playing')) begin();
  });
  begin();
}
