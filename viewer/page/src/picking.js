import { poseOf } from './motion.js';
/** @import {Body} from './types.js' */
/** @import {Model} from './model.js' */

/**
 * @typedef {object} Hit
 * @property {Body} body
 * @property {number} far mm from the eye
 * @property {number[]} at (3) in E
 */

/**
 * What a ray meets first: glass and what is faded let it through, and what a cut has taken away is not there.
 * @param {Model} model
 * @param {number} crank_deg
 * @param {readonly number[]} from (3) in E
 * @param {readonly number[]} way (3) unit, in E
 * @returns {Hit|null}
 */
export function firstHit(model, crank_deg, from, way) {
  /** @type {Hit|null} */
  let best = null;
  const cut = model.shown?.cut ?? null;
  for (const body of model.variant.bodies) {
    const solidity = model.seen.get(body.name);
    if (solidity !== 'solid' && solidity !== 'cut') continue;
    crossings(model, body, crank_deg, from, way, (far) => {
      const at = from.map((v, i) => v + far * way[i]);
      if (far <= 0 || (best && far >= best.far)) return;
      if (solidity === 'cut' && cut && at.reduce((sum, v, i) => sum + v * cut.normal[i], 0) > cut.at) return;
      best = { body, far, at };
    });
  }
  return best;
}

/**
 * Every place where a ray goes into a body or comes out of it.
 * @param {Model} model
 * @param {Body} body
 * @param {number} crank_deg
 * @param {readonly number[]} from (3) in E
 * @param {readonly number[]} way (3) unit, in E
 * @param {(far: number, out: boolean) => void} met
 */
export function crossings(model, body, crank_deg, from, way, met) {
  const { points, triangles } = model.parts.triangles(body.solid, 'coarse');
  const law = model.variant.frames.find((frame) => frame.name === body.frame)?.law;
  if (!law) return;
  const { x, y, z, turn } = poseOf(law, crank_deg);
  const own = inBody(body, model.shown?.shift(body) ?? 0, [x, y, z], turn);
  const o = own(from, 1);
  const d = own(way, 0);
  if (!throughBox(points, o, d)) return;
  for (let t = 0; t < triangles.length; t += 3) {
    const [a, b, c] = [3 * triangles[t], 3 * triangles[t + 1], 3 * triangles[t + 2]];
    const e1x = points[b] - points[a];
    const e1y = points[b + 1] - points[a + 1];
    const e1z = points[b + 2] - points[a + 2];
    const e2x = points[c] - points[a];
    const e2y = points[c + 1] - points[a + 1];
    const e2z = points[c + 2] - points[a + 2];
    const px = d[1] * e2z - d[2] * e2y;
    const py = d[2] * e2x - d[0] * e2z;
    const pz = d[0] * e2y - d[1] * e2x;
    const det = e1x * px + e1y * py + e1z * pz;
    if (Math.abs(det) < 1e-12) continue;
    const sx = o[0] - points[a];
    const sy = o[1] - points[a + 1];
    const sz = o[2] - points[a + 2];
    const u = (sx * px + sy * py + sz * pz) / det;
    if (u < 0 || u > 1) continue;
    const qx = sy * e1z - sz * e1y;
    const qy = sz * e1x - sx * e1z;
    const qz = sx * e1y - sy * e1x;
    const v = (d[0] * qx + d[1] * qy + d[2] * qz) / det;
    if (v < 0 || u + v > 1) continue;
    met((e2x * qx + e2y * qy + e2z * qz) / det, det < 0);
  }
}

/**
 * From E into a body: its pose in its frame, and its frame's in E, undone.
 * @param {Body} body
 * @param {number} shift mm along the frame's z
 * @param {readonly number[]} origin of the frame, in E
 * @param {number} turn of the frame about +x, rad
 */
function inBody(body, shift, origin, turn) {
  const [c, s] = [Math.cos(turn), Math.sin(turn)];
  const p = body.pose;
  return (/** @type {readonly number[]} */ at, /** @type {0|1} */ point) => {
    const [x, y, z] = at.map((v, i) => v - point * origin[i]);
    const f = [x - point * p[3], c * y + s * z - point * p[7], c * z - s * y - point * (p[11] + shift)];
    return [0, 1, 2].map((k) => p[k] * f[0] + p[4 + k] * f[1] + p[8 + k] * f[2]);
  };
}

/** @type {WeakMap<Float32Array, number[]>} */
const BOXES = new WeakMap();

/**
 * Lower and upper corner of points.
 * @param {Float32Array} points
 */
export function boxOf(points) {
  const known = BOXES.get(points);
  if (known) return known;
  const box = [Infinity, Infinity, Infinity, -Infinity, -Infinity, -Infinity];
  points.forEach((v, i) => {
    box[i % 3] = Math.min(box[i % 3], v);
    box[3 + (i % 3)] = Math.max(box[3 + (i % 3)], v);
  });
  BOXES.set(points, box);
  return box;
}

/**
 * @param {Float32Array} points
 * @param {readonly number[]} o
 * @param {readonly number[]} d
 */
function throughBox(points, o, d) {
  const box = boxOf(points);
  let [near, far] = [-Infinity, Infinity];
  for (let k = 0; k < 3; k += 1) {
    const [a, b] = [(box[k] - o[k]) / (d[k] || 1e-30), (box[3 + k] - o[k]) / (d[k] || 1e-30)];
    near = Math.max(near, Math.min(a, b));
    far = Math.min(far, Math.max(a, b));
  }
  return near <= far && far >= 0;
}
