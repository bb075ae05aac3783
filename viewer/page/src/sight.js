import { openingAt, middleOf } from './arrange.js';
import { FIELD_DEG, towardOf } from './camera.js';
import { crossings } from './picking.js';
/** @import {Cut} from './arrange.js' */
/** @import {Gaze} from './camera.js' */
/** @import {Model} from './model.js' */
/** @import {Place} from './types.js' */

/** The rules and their weights are those of viewer/scene/sight.py. */
const ELEVATIONS_DEG = [-60, -30, -10, 15, 45];
const LIKED_DEG = /** @type {const} */ ([35, -20]);
const [SQUARE_COST, METAL_COST, OTHER_COST, TURN_COST] = [4, 6, 0.4, 0.5];
const [REACH_SHARE, LEAST_GAPS, ALONG_MM] = [0.5, 2.5, 0.02];

/**
 * From where one place is seen best: near, square to its gap, with little metal before it.
 * @param {Model} model
 * @param {Place} place
 * @param {number} crank_deg
 * @returns {{gaze: Gaze, cut: Cut|null}|null}
 */
export function sightOf(model, place, crank_deg) {
  const at = middleOf(place);
  if (!at) return null;
  const { a_mm: a, b_mm: b } = place;
  const gap = a && b ? b.map((v, i) => v - a[i]) : [0, 0, 0];
  const long = Math.hypot(...gap);
  const radius = model.variant.bores[0].radius_mm;
  const reach = Math.max(2 * REACH_SHARE * radius, LEAST_GAPS * long);
  const encloses = new Set(model.page.families.filter((family) => family.encloses).map((family) => family.name));
  const before = model.variant.bodies.filter(
    (body) => !encloses.has(body.group) && (place.bodies.includes(body.name) || body.group !== 'valves'),
  );
  const liked = towardOf(...LIKED_DEG);
  let best = { cost: Infinity, azimuth: 0, elevation: 0 };
  for (const elevation of ELEVATIONS_DEG) {
    for (let azimuth = 0; azimuth < 360; azimuth += 30) {
      const toward = towardOf(azimuth, elevation);
      const dot = (/** @type {readonly number[]} */ other) => toward.reduce((sum, v, i) => sum + v * other[i], 0);
      let cost = TURN_COST * (Math.acos(Math.min(Math.max(dot(liked), -1), 1)) / Math.PI);
      if (long > ALONG_MM) cost += SQUARE_COST * (dot(gap) / long) ** 2;
      for (const body of before) {
        if (cost >= best.cost) break;
        const metal = metalBefore(model, body, crank_deg, at, toward);
        cost += place.bodies.includes(body.name) ? METAL_COST * Math.min(metal / reach, 1) : metal > 0 ? OTHER_COST : 0;
      }
      if (cost < best.cost) best = { cost, azimuth, elevation };
    }
  }
  const { azimuth, elevation } = best;
  const distance = reach / Math.tan(((FIELD_DEG / 2) * Math.PI) / 180) / 0.94;
  const opened = model.variant.bodies.some((body) => encloses.has(body.group) && place.bodies.includes(body.name));
  return { gaze: { target: at, distance, azimuth, elevation }, cut: opened ? openingAt(place, towardOf(azimuth, elevation)) : null };
}

/**
 * How much of a body lies between a point and the eye, mm.
 * @param {Model} model
 * @param {import('./types.js').Body} body
 * @param {number} crank_deg
 * @param {readonly number[]} at
 * @param {readonly number[]} toward
 */
function metalBefore(model, body, crank_deg, at, toward) {
  let metal = 0;
  const back = toward.map((v) => -v);
  crossings(model, body, crank_deg, at, back, (far, out) => {
    if (far > 0) metal += out ? far : -far;
  });
  return metal;
}
