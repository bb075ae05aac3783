import * as THREE from 'three';

/** Vertical angle of view, as in viewer/scene/views.py. */
export const FIELD_DEG = 26;
const TO_RAD = Math.PI / 180;
const STEEPEST_DEG = 89.9;
const FLIGHT_MS = 650;

/**
 * Where the eye is: it looks at a target from a distance, with a level horizon.
 * @typedef {object} Gaze
 * @property {number[]} target (3) mm, in E
 * @property {number} distance mm
 * @property {number} azimuth degrees; 0 looks rearward, 90 to the engine's right
 * @property {number} elevation degrees; looks down below zero
 */

/** Looking directions of the named views: azimuth and elevation, front up from above and below. */
const VIEWS = /** @type {Record<string, [number, number]>} */ ({
  front: [0, 0], rear: [180, 0], left: [90, 0], right: [-90, 0], top: [180, -STEEPEST_DEG], below: [0, STEEPEST_DEG],
  iso: [39.5, -25.7], bore: [0, 0],
});
/** The free view of an opened block, from lower down; of a bank that opens to the right, from the right. */
const OPEN = /** @type {[number, number]} */ ([50.8, -11]);

/**
 * @param {string} view
 * @param {boolean} opened
 * @param {boolean} right whether the opening faces the engine's right
 * @returns {[number, number]}
 */
export function directionOf(view, opened, right) {
  if (view === 'iso' && opened) return right ? [-OPEN[0], OPEN[1]] : OPEN;
  return VIEWS[view] ?? VIEWS.iso;
}

/** @param {number} azimuth @param {number} elevation */
export function towardOf(azimuth, elevation) {
  const [a, e] = [azimuth * TO_RAD, elevation * TO_RAD];
  return [Math.cos(e) * Math.cos(a), Math.cos(e) * Math.sin(a), Math.sin(e)];
}

export class Eye {
  constructor() {
    this.camera = new THREE.PerspectiveCamera(FIELD_DEG, 1, 10, 10000);
    this.camera.up.set(0, 0, 1);
    /** @type {Gaze} */
    this.gaze = { target: [0, 0, 0], distance: 1000, azimuth: VIEWS.iso[0], elevation: VIEWS.iso[1] };
    this.place = new THREE.Vector3();
    /** @type {{from: Gaze, to: Gaze, since: number}|null} */
    this.flight = null;
  }

  /** @param {number} aspect */
  setAspect(aspect) {
    this.camera.aspect = aspect;
    this.look();
  }

  look() {
    const { target, distance, azimuth, elevation } = this.gaze;
    const toward = towardOf(azimuth, elevation);
    this.camera.position.set(target[0] - distance * toward[0], target[1] - distance * toward[1], target[2] - distance * toward[2]);
    this.camera.near = Math.max(distance * 0.02, 1);
    this.camera.far = distance + 4000;
    this.camera.lookAt(target[0], target[1], target[2]);
    this.camera.updateProjectionMatrix();
    this.camera.updateMatrixWorld();
  }

  /** @param {number} right degrees @param {number} up degrees */
  orbit(right, up) {
    this.flight = null;
    this.gaze.azimuth -= right;
    this.gaze.elevation = Math.min(Math.max(this.gaze.elevation - up, -STEEPEST_DEG), STEEPEST_DEG);
    this.look();
  }

  /** Shift the picture by shares of its height. @param {number} right @param {number} up */
  pan(right, up) {
    this.flight = null;
    const tall = 2 * this.gaze.distance * Math.tan((FIELD_DEG / 2) * TO_RAD);
    const { elements: e } = this.camera.matrixWorld;
    this.gaze.target = this.gaze.target.map((v, i) => v - tall * (right * e[i] + up * e[4 + i]));
    this.look();
  }

  /**
   * Nearer (below 1) or farther, what lies under the pointer staying there.
   * @param {number} factor
   * @param {number} x -1 left to 1 right
   * @param {number} y -1 below to 1 above
   */
  zoom(factor, x = 0, y = 0) {
    this.flight = null;
    const to = Math.min(Math.max(this.gaze.distance * factor, 25), 12000);
    const left = (1 - to / this.gaze.distance) / 2;
    this.pan(-x * this.camera.aspect * left, -y * left);
    this.gaze.distance = to;
    this.look();
  }

  /**
   * The nearest gaze in a direction that sees all points: along each axis the two outermost sight lines decide.
   * @param {Float32Array} points (3 n), in E
   * @param {number} azimuth
   * @param {number} elevation
   * @param {number} margin share of the picture left free on every side
   * @returns {Gaze}
   */
  fitted(points, azimuth, elevation, margin) {
    const toward = towardOf(azimuth, elevation);
    const right = [Math.sin(azimuth * TO_RAD), -Math.cos(azimuth * TO_RAD), 0];
    const up = [
      right[1] * toward[2] - right[2] * toward[1], right[2] * toward[0] - right[0] * toward[2], right[0] * toward[1] - right[1] * toward[0],
    ];
    const slope = Math.tan((FIELD_DEG / 2) * TO_RAD) * (1 - 2 * margin);
    const slopes = [slope * this.camera.aspect, slope];
    const over = [-Infinity, -Infinity];
    const under = [-Infinity, -Infinity];
    let near = Infinity;
    let far = -Infinity;
    for (let i = 0; i < points.length; i += 3) {
      const [x, y, z] = [points[i], points[i + 1], points[i + 2]];
      const depth = x * toward[0] + y * toward[1] + z * toward[2];
      near = Math.min(near, depth);
      far = Math.max(far, depth);
      [right, up].forEach((axis, k) => {
        const along = x * axis[0] + y * axis[1] + z * axis[2];
        over[k] = Math.max(over[k], along - slopes[k] * depth);
        under[k] = Math.max(under[k], -along - slopes[k] * depth);
      });
    }
    const back = Math.min(...slopes.map((one, k) => -(over[k] + under[k]) / 2 / one));
    const depth = (near + far) / 2;
    const aside = [0, 1].map((k) => (over[k] - under[k]) / 2);
    const target = [0, 1, 2].map((i) => right[i] * aside[0] + up[i] * aside[1] + toward[i] * depth);
    return { target, distance: Math.max(depth - back, 25), azimuth, elevation };
  }

  /** Go there: in one flight, or at once for who wants no motion. @param {Gaze} to */
  fly(to) {
    const still = matchMedia('(prefers-reduced-motion: reduce)').matches;
    const turn = ((((to.azimuth - this.gaze.azimuth) % 360) + 540) % 360) - 180;
    const there = { ...to, azimuth: this.gaze.azimuth + turn };
    this.flight = still ? null : { from: { ...this.gaze }, to: there, since: performance.now() };
    if (still) this.at(there);
  }

  /** @param {Gaze} gaze */
  at(gaze) {
    this.gaze = { ...gaze, target: [...gaze.target] };
    this.look();
  }

  /** One step of the flight. @param {number} now @returns {boolean} whether the eye is still on its way */
  step(now) {
    if (!this.flight) return false;
    const { from, to, since } = this.flight;
    const share = Math.min(Math.max((now - since) / FLIGHT_MS, 0), 1);
    const s = share * share * (3 - 2 * share);
    const mix = (/** @type {number} */ a, /** @type {number} */ b) => a + (b - a) * s;
    if (share >= 1) this.flight = null;
    this.at({
      target: from.target.map((v, i) => mix(v, to.target[i])),
      distance: Math.exp(mix(Math.log(from.distance), Math.log(to.distance))),
      azimuth: mix(from.azimuth, to.azimuth),
      elevation: mix(from.elevation, to.elevation),
    });
    return this.flight !== null;
  }

  /**
   * Where a point of E lands: -1 to 1 across and up, and its distance before the eye (negative behind it).
   * @param {readonly number[]} at
   */
  seen(at) {
    const p = this.place.set(at[0], at[1], at[2]);
    const depth = -p.applyMatrix4(this.camera.matrixWorldInverse).z;
    p.applyMatrix4(this.camera.projectionMatrix);
    return { x: p.x, y: p.y, depth };
  }

  /** Direction in E through a point of the picture. @param {number} x @param {number} y */
  ray(x, y) {
    const p = this.place.set(x, y, 0.5).unproject(this.camera).sub(this.camera.position).normalize();
    return [p.x, p.y, p.z];
  }
}
