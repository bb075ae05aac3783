/** @import {Place} from './types.js' */

/**
 * @typedef {object} Nearest
 * @property {Place} place
 * @property {number} distance_mm at this angle, read from its curve
 * @property {number} left_mm of its limit; below zero where it is not kept
 */

/**
 * Which of the places is nearest to its limit at this angle: closest_at of geometry/checks/close_places.py.
 * @param {readonly Place[]} places
 * @param {number} crank_deg
 * @returns {Nearest|null}
 */
export function nearestAt(places, crank_deg) {
  /** @type {Nearest|null} */
  let best = null;
  for (const place of places) {
    const distance_mm = distanceAt(place, crank_deg);
    if (distance_mm === null || place.limit_mm === null) continue;
    const left_mm = distance_mm - place.limit_mm;
    if (!best || left_mm < best.left_mm) best = { place, distance_mm, left_mm };
  }
  return best;
}

/**
 * The distance at one angle, mm, between the two angles of the curve beside it.
 * @param {Place} place
 * @param {number} crank_deg
 * @returns {number|null}
 */
export function distanceAt({ curve_mm, period_deg }, crank_deg) {
  if (!curve_mm || curve_mm.length < 2) return null;
  const share = (((crank_deg % period_deg) + period_deg) % period_deg) / period_deg;
  const along = share * (curve_mm.length - 1);
  const from = Math.min(Math.floor(along), curve_mm.length - 2);
  return curve_mm[from] + (along - from) * (curve_mm[from + 1] - curve_mm[from]);
}
