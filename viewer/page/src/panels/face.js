import { drawn } from '../elements.js';
/** @import {Clock} from '../types.js' */

/** Half of the opening drawn for a gap, over the radius: much wider than the gap, so that it is seen. */
const OPEN_DEG = 7.5;
const CLOSEST_AT = 0.34;
/** From the wall inward, as on paper (viewer/paper/clock/looks.py): told apart by line and mark, never by colour. */
const RADII = /** @type {Record<string, number>} */ ({ top: 1, second: 0.87, upper_rail: 0.73, expander: 0.6, lower_rail: 0.47 });
const MARKS = /** @type {Record<string, string>} */ ({
  top: 'M-.8-.8h1.6v1.6h-1.6z',
  second: 'M0-1L.95.75h-1.9z',
  upper_rail: 'M-.8 0a.8.8 0 1 0 1.6 0a.8.8 0 1 0-1.6 0z',
  expander: 'M-.8-.8L.8.8M.8-.8L-.8.8',
  lower_rail: 'M0-1L1 0L0 1L-1 0z',
});

/**
 * One clock face: the rings of one piston seen from above, front up, angles clockwise; nothing is mirrored.
 * @param {Clock} clock
 * @returns {SVGElement}
 */
export function clockFace(clock) {
  const made = drawn('svg', { viewBox: '-2.12 -1.7 4.24 3.4', class: 'face', role: 'img', 'aria-label': saidOf(clock) });
  for (const boss of clock.bosses) made.append(drawn('path', { class: 'boss', d: wedge(boss.centre_deg, boss.half_deg, 0.38, 1.06) }));
  for (const pocket of clock.pockets) made.append(drawn('path', { class: 'pocket', d: wedge(pocket.centre_deg, pocket.half_deg, 1.06, 1.14) }));
  made.append(drawn('line', { x1: 0, x2: 0, y1: -1.12, y2: 1.12, class: 'pin' }));
  for (const mark of clock.rings) {
    const r = RADII[mark.ring] ?? 0.5;
    const half = OPEN_DEG / r;
    made.append(drawn('path', { class: `ring ${mark.ring}`, d: arc(r, mark.clock_deg + half, mark.clock_deg + 360 - half) }));
    if (mark.ring === 'second') made.append(drawn('path', { class: 'hollow', d: arc(r, mark.clock_deg + half, mark.clock_deg + 360 - half) }));
  }
  thrust(made, clock);
  for (const mark of clock.rings) {
    const r = RADII[mark.ring] ?? 0.5;
    if (mark.planned_deg !== null) made.append(placed(mark.ring, mark.planned_deg, r, 'planned'));
    made.append(placed(mark.ring, mark.clock_deg, r, mark.severity));
    const [x, y] = at(mark.clock_deg, 1.24);
    const [fx, fy] = at(mark.clock_deg, r + 0.07);
    made.append(drawn('line', { x1: fx, y1: fy, x2: x, y2: y, class: 'leader' }));
  }
  front(made, clock.turned);
  closest(made, clock);
  names(made, clock);
  return made;
}

/** What the face shows, for who cannot see it. @param {Clock} clock */
function saidOf(clock) {
  const rings = clock.rings.map((mark) => `${mark.words} ${mark.degrees}`).join(', ');
  return `Seen from above the crown, front up: ${rings}. Major thrust side: ${clock.thrust_words}, at ${clock.thrust_deg}°.`;
}

/**
 * Where a ring angle lies: 0 up, clockwise.
 * @param {number} deg
 * @param {number} radius
 * @returns {[number, number]}
 */
export function at(deg, radius) {
  const turn = (deg * Math.PI) / 180;
  return [radius * Math.sin(turn), -radius * Math.cos(turn)];
}

/**
 * @param {number} radius
 * @param {number} from
 * @param {number} to
 */
function arc(radius, from, to) {
  const [x0, y0] = at(from, radius);
  const [x1, y1] = at(to, radius);
  return `M${x0} ${y0}A${radius} ${radius} 0 ${Math.abs(to - from) > 180 ? 1 : 0} ${to > from ? 1 : 0} ${x1} ${y1}`;
}

/**
 * @param {number} middle
 * @param {number} half
 * @param {number} inner
 * @param {number} outer
 */
function wedge(middle, half, inner, outer) {
  const [x, y] = at(middle + half, inner);
  return `${arc(outer, middle - half, middle + half)}L${x} ${y}${arc(inner, middle + half, middle - half).replace(/^M\S+ \S+?A/, 'A')}Z`;
}

/**
 * @param {string} ring
 * @param {number} deg
 * @param {number} radius
 * @param {string} how
 */
function placed(ring, deg, radius, how) {
  const [x, y] = at(deg, radius);
  return drawn('path', { d: MARKS[ring], transform: `translate(${x} ${y}) scale(.065)`, class: `mark ${ring} ${how}`, 'data-ring': ring, 'data-deg': deg });
}

/** The mark of a ring by itself, for a list. @param {string} ring */
export function ringMark(ring) {
  return drawn('svg', { viewBox: '-1.3 -1.3 2.6 2.6', class: 'face key', 'aria-hidden': 'true' }, drawn('path', { d: MARKS[ring], class: `mark ${ring}` }));
}

/**
 * @param {SVGElement} made
 * @param {Clock} clock
 */
function thrust(made, clock) {
  made.append(drawn('path', { class: 'thrust major', d: arc(1.18, clock.thrust_deg - 12, clock.thrust_deg + 12) }));
  made.append(drawn('path', { class: 'thrust', d: arc(1.18, clock.thrust_deg + 168, clock.thrust_deg + 192) }));
}

/**
 * The way to the engine's front, and the piston's own front mark.
 * @param {SVGElement} made
 * @param {boolean} turned
 */
function front(made, turned) {
  const way = turned ? 1 : -1;
  made.append(
    drawn('path', { class: 'front', d: 'M0-1.3V-1.55M-.06-1.47L0-1.57L.06-1.47' }),
    drawn('text', { x: 0.1, y: -1.5, class: 'front-name' }, 'FRONT'),
    drawn('path', { class: 'own-front', d: `M-.055 ${0.16 * way}L0 ${0.27 * way}L.055 ${0.16 * way}Z` }),
  );
}

/**
 * @param {SVGElement} made
 * @param {Clock} clock
 */
function closest(made, clock) {
  if (!clock.closest) return;
  const { first_deg: first, sweep_deg: sweep, words } = clock.closest;
  made.append(drawn('path', { class: 'closest', d: arc(CLOSEST_AT, first, first + sweep) }));
  for (const end of [first, first + sweep]) {
    const [x0, y0] = at(end, CLOSEST_AT - 0.05);
    const [x1, y1] = at(end, CLOSEST_AT + 0.05);
    made.append(drawn('line', { class: 'closest', x1: x0, y1: y0, x2: x1, y2: y1 }));
  }
  made.append(drawn('text', { x: 0, y: 0.035, class: 'apart', 'text-anchor': 'middle' }, words));
}

const LINE = 0.145;

/** @typedef {{deg: number, lines: string[], look: string, y: number}} Beside */

/**
 * Names of ring and degree round the face, those on one side kept apart.
 * @param {SVGElement} made
 * @param {Clock} clock
 */
function names(made, clock) {
  const beside = (/** @type {number} */ deg, /** @type {string[]} */ lines, /** @type {string} */ look) => ({ deg, lines, look, y: at(deg, 1.3)[1] });
  const labels = clock.rings.map((mark) => beside(mark.clock_deg, [mark.degrees, ...mark.words.split(' ')], 'ring-name'));
  labels.push(beside(clock.thrust_deg, [clock.thrust_words.toUpperCase(), '(major', 'thrust)'], 'thrust-name'));
  for (const side of [1, -1]) {
    const here = labels.filter((label) => (at(label.deg, 1)[0] >= -1e-9 ? 1 : -1) === side).sort((a, b) => a.y - b.y);
    spreadOut(here);
    for (const label of here) {
      const [x0, y0] = at(label.deg, 1.24);
      made.append(drawn('line', { class: 'leader', x1: x0, y1: y0, x2: side * 1.34, y2: label.y }));
      label.lines.forEach((line, i) => {
        const y = label.y + LINE * (i + 0.8 - label.lines.length / 2);
        made.append(drawn('text', { x: side * 1.37, y, class: i ? label.look : `${label.look} first`, 'text-anchor': side > 0 ? 'start' : 'end' }, line));
      });
    }
  }
}

/** Apart by their height, within the picture. @param {Beside[]} labels from above */
function spreadOut(labels) {
  const half = (/** @type {Beside} */ label) => (LINE * label.lines.length) / 2 + 0.02;
  let low = -1.68;
  for (const label of labels) {
    label.y = Math.max(label.y, low + half(label));
    low = label.y + half(label);
  }
  let high = 1.68;
  for (const label of [...labels].reverse()) {
    label.y = Math.min(label.y, high - half(label));
    high = label.y - half(label);
  }
}
