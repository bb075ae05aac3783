import { drawn, element } from '../elements.js';
import { angleWords, wrapped } from '../numbers.js';
/** @import {Store} from '../store.js' */

/**
 * A quantity over the turn.
 * @typedef {object} Chart
 * @property {string} title
 * @property {(deg: number) => number} value
 * @property {(value: number) => string} write
 * @property {number|null} limit
 * @property {string} limitWords
 * @property {{deg: number, words: string}[]} points marked angles, once a revolution
 * @property {boolean} [down] greater values stand lower
 * @property {number} step degrees from point to point of the line
 */

const WIDE = 420;
const HIGH = 120;
const TOP = 16;
const BOTTOM = 18;

/**
 * Its curve with a cursor where the crank stands; a tap on it turns the crank there.
 * @param {Chart} one
 * @param {Store} store
 * @param {(deg: number) => void} turn
 * @returns {{element: HTMLElement, show: (deg: number) => void}}
 */
export function chart(one, store, turn) {
  const cycle = store.variant.cycle_deg;
  const values = Array.from({ length: Math.round(cycle / one.step) + 1 }, (_, i) => one.value(i * one.step));
  const low = Math.min(...values, ...(one.limit === null ? [] : [one.limit, 0]));
  const high = Math.max(...values, ...(one.limit === null ? [] : [one.limit]));
  const x = (/** @type {number} */ deg) => (deg / cycle) * WIDE;
  const share = (/** @type {number} */ value) => 1 - (value - low) / Math.max(high - low, 1e-9);
  const y = (/** @type {number} */ value) => TOP + (one.down ? 1 - share(value) : share(value)) * (HIGH - TOP - BOTTOM);
  const dot = drawn('circle', { r: 4, class: 'dot' });
  const cursor = drawn('line', { y1: TOP, y2: HIGH - BOTTOM, class: 'cursor' });
  const picture = drawn('svg', { viewBox: `0 0 ${WIDE} ${HIGH}`, class: 'curve', role: 'img' });
  picture.append(
    ...ground(one, cycle, x, y, low, high),
    drawn('path', { class: 'line', d: `M${values.map((value, i) => `${x(i * one.step).toFixed(1)} ${y(value).toFixed(1)}`).join('L')}` }),
    cursor,
    dot,
  );
  picture.setAttribute('aria-label', `${one.title}: from ${one.write(Math.min(...values))} to ${one.write(Math.max(...values))}`);
  const take = (/** @type {PointerEvent} */ event) => {
    const box = picture.getBoundingClientRect();
    turn(Math.round(Math.min(1, Math.max(0, (event.clientX - box.left) / box.width)) * cycle * 2) / 2);
  };
  picture.addEventListener('pointerdown', (event) => {
    picture.setPointerCapture(event.pointerId);
    take(event);
  });
  picture.addEventListener('pointermove', (event) => {
    if (picture.hasPointerCapture(event.pointerId)) take(event);
  });
  const here = element('output', { class: 'here' });
  const made = element('figure', { class: 'chart' }, element('figcaption', {}, element('span', {}, one.title), here), picture);
  const show = (/** @type {number} */ crankDeg) => {
    const deg = wrapped(crankDeg, cycle);
    const value = one.value(deg);
    here.textContent = `${one.write(value)} at ${angleWords(deg)}`;
    here.classList.toggle('wrong', one.limit !== null && value < one.limit);
    for (const [name, at] of /** @type {[string, number][]} */ ([['x1', x(deg)], ['x2', x(deg)]])) cursor.setAttribute(name, String(at));
    dot.setAttribute('cx', String(x(deg)));
    dot.setAttribute('cy', String(y(value)));
  };
  return { element: made, show };
}

/**
 * Zero, limit, marked angles and degrees.
 * @param {Chart} one
 * @param {number} cycle
 * @param {(deg: number) => number} x
 * @param {(value: number) => number} y
 * @param {number} low
 * @param {number} high
 */
function ground(one, cycle, x, y, low, high) {
  const found = [];
  const foot = HIGH - 5;
  if (low < 0 && high > 0) found.push(drawn('line', { x1: 0, x2: WIDE, y1: y(0), y2: y(0), class: 'zero' }));
  if (one.limit !== null) {
    found.push(
      drawn('rect', { x: 0, y: y(one.limit), width: WIDE, height: Math.max(0, HIGH - BOTTOM - y(one.limit)), class: 'short' }),
      drawn('line', { x1: 0, x2: WIDE, y1: y(one.limit), y2: y(one.limit), class: 'bound' }),
      drawn('text', { x: WIDE - 4, y: y(one.limit) - 4, 'text-anchor': 'end', class: 'bound-words' }, one.limitWords),
    );
  }
  for (const point of one.points) {
    for (let deg = wrapped(point.deg, 360); deg <= cycle; deg += 360) {
      found.push(
        drawn('line', { x1: x(deg), x2: x(deg), y1: TOP, y2: HIGH - BOTTOM, class: 'centre' }),
        drawn('text', { x: x(deg), y: 11, 'text-anchor': deg < 20 ? 'start' : deg > cycle - 20 ? 'end' : 'middle' }, point.words),
      );
    }
  }
  for (let deg = 0; deg <= cycle; deg += cycle / 4) {
    found.push(drawn('text', { x: x(deg), y: foot, 'text-anchor': deg === 0 ? 'start' : deg === cycle ? 'end' : 'middle' }, `${deg}°`));
  }
  return found;
}
