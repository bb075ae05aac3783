import { element } from '../elements.js';
import { distanceAt } from '../nearest.js';
import { STANDARD_GRAVITY_M_S2, fixed, lengthWords, speedWords } from '../numbers.js';
import { strokeAt } from '../strokes.js';
import { WORDS } from '../words.js';
import { chart } from './chart.js';
/** @import {Panel} from '../panels.js' */
/** @import {Store} from '../store.js' */
/** @import {Chart} from './chart.js' */

/** Distance of the chosen place, and the motion of the chosen piston, over the turn. @type {Panel} */
export const curvesPanel = {
  id: 'curves',
  title: 'Curves',
  voices: ['builder'],
  make({ store, journey }) {
    const room = element('div', { class: 'charts' });
    /** @type {{element: HTMLElement, show: (deg: number) => void}[]} */
    let charts = [];
    const fill = () => {
      const turn = (/** @type {number} */ deg) => journey.turnTo(deg);
      charts = [...distances(store), ...motions(store)].map((one) => chart(one, store, turn));
      room.replaceChildren(...charts.map((one) => one.element));
      show();
    };
    const show = () => charts.forEach((one) => one.show(store.state.crank_deg));
    fill();
    return {
      element: room,
      update(_state, changed) {
        if (changed.has('bore') || changed.has('shown') || changed.has('place')) fill();
        else if (changed.has('crank_deg')) show();
      },
    };
  },
};

/**
 * The chosen place's distance, else that of the worst that has a curve.
 * @param {Store} store
 * @returns {Chart[]}
 */
function distances(store) {
  const { units } = store.page;
  const chosen = store.place?.curve_mm ? store.place : store.variant.places.find((place) => place.curve_mm);
  if (!chosen) return [];
  const where = chosen.bore === null ? '' : `, bore ${chosen.bore}`;
  return [{
    title: `${chosen.words}${where}`,
    value: (deg) => distanceAt(chosen, deg) ?? NaN,
    write: (mm) => lengthWords(mm, units),
    limit: chosen.limit_mm,
    limitWords: chosen.limit_mm === null ? '' : `${WORDS.limitAt} ${lengthWords(chosen.limit_mm, units)}`,
    points: [],
    step: chosen.period_deg / ((chosen.curve_mm?.length ?? 2) - 1),
  }];
}

/**
 * Position, speed and acceleration of the chosen piston at the engine's speed.
 * @param {Store} store
 * @returns {Chart[]}
 */
function motions(store) {
  const { variant, state, page } = store;
  const bore = variant.bores.find((one) => one.bore === state.bore);
  const law = variant.frames.find((frame) => frame.name === `P${state.bore}`)?.law;
  if (!bore || !law) return [];
  const omega = (variant.speed_rpm * Math.PI) / 30;
  const top = strokeAt(law, bore.top_deg).height_mm;
  const points = [
    { deg: bore.top_deg, words: 'top' },
    { deg: bore.bottom_deg, words: 'bottom' },
  ];
  const at = `at ${fixed(variant.speed_rpm, 0)} rpm`;
  const shared = { limit: null, limitWords: '', points, step: 2 };
  return [
    { ...shared, down: true, title: `Piston ${bore.bore}, below top`, value: (deg) => top - strokeAt(law, deg).height_mm, write: (mm) => lengthWords(mm, page.units) },
    { ...shared, title: `Piston ${bore.bore}, speed ${at}`, value: (deg) => (strokeAt(law, deg).speed * omega) / 1000, write: (pace) => speedWords(pace, page.units) },
    { ...shared, title: `Piston ${bore.bore}, acceleration ${at}`, value: (deg) => (strokeAt(law, deg).acceleration * omega * omega) / 1000 / STANDARD_GRAVITY_M_S2, write: (g) => `${fixed(g, 0)} g` },
  ];
}
