import { dropDown } from './choices.js';
import { drawn, element } from './elements.js';
import { nearestAt } from './nearest.js';
import { afterTop, angleWords, lengthWords, wrapped } from './numbers.js';
import { paced } from './paced.js';
import { WORDS } from './words.js';
/** @import {Journey} from './journey.js' */
/** @import {State, Store} from './store.js' */

/**
 * The bar under the picture: the crank's angle over the full cycle, to drag, step, type and play.
 * @param {Store} store
 * @param {Journey} journey
 * @returns {HTMLElement}
 */
export function crankBar(store, journey) {
  const slider = element('input', {
    type: 'range', class: 'turn', min: 0, max: store.variant.cycle_deg, step: 0.5, 'aria-label': WORDS.angle,
    oninput: (event) => goTo(Number(event.target.value)),
  });
  const marks = element('div', { class: 'marks', 'aria-hidden': 'true' });
  const typed = element('input', {
    type: 'number', class: 'typed', step: 0.1, inputmode: 'decimal', 'aria-label': WORDS.angle,
    onchange: () => {
      if (typed.value !== '' && Number.isFinite(typed.valueAsNumber)) goTo(typed.valueAsNumber);
      show(store.state);
    },
  });
  const after = element('output', { class: 'after' });
  const near = element('p', { class: 'nearest' });
  const play = playButton(1, journey);
  const back = playButton(-1, journey);
  const speed = dropDown(WORDS.speed, Object.entries(WORDS.speeds).map(([deg, words]) => [Number(deg), words]), store.state.speed_deg_s, (value) =>
    store.set({ speed_deg_s: value }),
  );
  const goTo = (/** @type {number} */ deg) => journey.turnTo(deg);
  const show = (/** @type {State} */ state) => {
    const { cycle_deg: cycle, bores } = store.variant;
    const deg = wrapped(state.crank_deg, cycle);
    const bore = bores.find((one) => one.bore === state.bore) ?? bores[0];
    slider.max = String(cycle);
    slider.value = String(deg);
    if (document.activeElement !== typed || state.playing) typed.value = deg.toFixed(1);
    const words = `${angleWords(afterTop(state.crank_deg, bore))} after top of bore ${bore.bore}`;
    after.textContent = words;
    slider.setAttribute('aria-valuetext', `${angleWords(deg)}, ${words}`);
    near.textContent = nearestWords(store);
  };
  store.listen(paced(store, (state, changed) => {
    if (changed.has('crank_deg') || changed.has('bore') || changed.has('shown')) show(state);
    if (changed.has('bore') || changed.has('shown') || changed.has('place')) marks.replaceChildren(marksOf(store));
    if (changed.has('playing')) [play, back].forEach((one) => one.show(state));
    if (changed.has('speed_deg_s')) speed.choose(state.speed_deg_s);
  }));
  show(store.state);
  marks.replaceChildren(marksOf(store));
  const step = (/** @type {number} */ by) =>
    element('button', { type: 'button', class: Math.abs(by) > 1 ? 'step ten' : 'step', 'aria-label': `${by > 0 ? 'On' : 'Back'} by ${Math.abs(by)}°`, onclick: () => journey.turn(by) }, `${by > 0 ? '+' : '−'}${Math.abs(by)}°`);
  return element(
    'section',
    { class: 'crank', 'aria-label': WORDS.crank },
    near,
    element('div', { class: 'track' }, marks, slider),
    element(
      'div',
      { class: 'hands' },
      back.element, play.element, step(-10), step(-1),
      element('span', { class: 'angle' }, typed, '°'),
      step(1), step(10), after, speed.element,
    ),
  );
}

/** What is nearest to its limit where the crank stands, with what is left of it. @param {Store} store */
function nearestWords(store) {
  const found = nearestAt(store.variant.places, store.state.crank_deg);
  if (!found) return '';
  const { place, distance_mm: distance, left_mm: left } = found;
  const { units } = store.page;
  const where = place.bore === null ? '' : `, bore ${place.bore}`;
  return `${WORDS.nearest} ${place.words}${where}: ${lengthWords(distance, units)}, ${lengthWords(Math.abs(left), units)} ${left < 0 ? WORDS.missing : WORDS.left}`;
}

/**
 * @param {-1|1} sense
 * @param {Journey} journey
 */
function playButton(sense, journey) {
  const icon = (/** @type {boolean} */ runs) =>
    drawn('svg', { viewBox: '0 0 20 20', 'aria-hidden': 'true', class: 'icon' },
      drawn('path', { d: runs ? 'M5 4h3.5v12H5zM11.5 4H15v12h-3.5z' : sense > 0 ? 'M5 3l12 7-12 7z' : 'M15 3L3 10l12 7z' }));
  const words = sense > 0 ? WORDS.play : WORDS.playBack;
  const made = element('button', { type: 'button', class: 'play', 'aria-label': words, title: words, onclick: () => journey.play(sense) }, icon(false));
  return {
    element: made,
    /** @param {State} state */
    show(state) {
      const runs = state.playing === sense;
      made.setAttribute('aria-label', runs ? WORDS.stop : words);
      made.title = runs ? WORDS.stop : words;
      made.replaceChildren(icon(runs));
    },
  };
}

/**
 * Dead centres of the bores, and where something is wrong, along the slider.
 * @param {Store} store
 * @returns {SVGElement}
 */
function marksOf(store) {
  const { variant, state } = store;
  const cycle = variant.cycle_deg;
  const made = drawn('svg', { class: 'strip', width: '100%', height: '100%' });
  const at = (/** @type {number} */ deg) => `${((100 * wrapped(deg, cycle)) / cycle).toFixed(3)}%`;
  for (const bore of variant.bores) {
    const own = bore.bore === state.bore;
    for (let turn = 0; turn < cycle; turn += 360) {
      const x = at(bore.top_deg + turn);
      made.append(drawn('line', { x1: x, x2: x, y1: own ? '45%' : '70%', y2: '100%', class: own ? 'top own' : 'top' }));
      if (!own) continue;
      made.append(drawn('text', { x, y: '38%', class: 'name', 'text-anchor': atEdge(bore.top_deg + turn, cycle) }, `top ${bore.bore}`));
      const low = at(bore.bottom_deg + turn);
      made.append(
        drawn('line', { x1: low, x2: low, y1: '60%', y2: '100%', class: 'bottom own' }),
        drawn('text', { x: low, y: '38%', class: 'name', 'text-anchor': atEdge(bore.bottom_deg + turn, cycle) }, 'bottom'),
      );
    }
  }
  for (const place of variant.places) {
    if (place.severity === 'note' || place.crank_deg === null) continue;
    const chosen = place.id === state.place;
    for (let turn = 0; turn < cycle; turn += place.period_deg) {
      made.append(drawn('circle', { cx: at(place.crank_deg + turn), cy: '80%', r: chosen ? '0.36em' : '0.25em', class: `wrong ${place.severity}` }));
    }
  }
  return made;
}

/**
 * So that no name is cut off at either end.
 * @param {number} deg
 * @param {number} cycle
 */
function atEdge(deg, cycle) {
  const share = wrapped(deg, cycle) / cycle;
  return share < 0.05 ? 'start' : share > 0.95 ? 'end' : 'middle';
}
