import * as THREE from 'three';
import { merged } from './batches.js';
import { flat, hatched, surface } from './materials.js';
import { poseOf } from './motion.js';
import { boxOf } from './picking.js';
/** @import {Body, Page, Variant} from './types.js' */
/** @import {Cut, Shown, Solidity} from './arrange.js' */
/** @import {Fineness, Parts} from './batches.js' */

/**
 * Bodies that ride on one frame and look alike: one draw for their surfaces, one for their edges.
 * @typedef {object} Batch
 * @property {string} frame
 * @property {Solidity} solidity
 * @property {boolean} picked
 * @property {Body[]} bodies
 * @property {(body: Body) => number} shift
 * @property {Map<Fineness, THREE.Object3D[]>} layers
 */

const OPACITY = { solid: 1, cut: 1, glass: 0.11, faded: 0.13, faint: 0.05, hidden: 0 };
const EDGES = { solid: 0.34, cut: 0.34, glass: 0.4, faded: 0.09, faint: 0.1, hidden: 0 };
const ACCENT_SHARE = 0.85;
const HATCH_MM = 5;
const LONG_MM = 6000;

/** One engine on show: a node for each frame, and in it what rides on that frame. */
export class Model {
  /**
   * @param {Page} page
   * @param {Variant} variant
   * @param {Parts} parts
   */
  constructor(page, variant, parts) {
    this.page = page;
    this.variant = variant;
    this.parts = parts;
    this.scene = new THREE.Scene();
    this.scene.matrixWorldAutoUpdate = false;
    /** @type {Map<string, THREE.Group>} */
    this.nodes = new Map();
    for (const frame of variant.frames) {
      const node = new THREE.Group();
      node.matrixAutoUpdate = false;
      this.nodes.set(frame.name, node);
      this.scene.add(node);
    }
    /** @type {Map<string, Batch>} */
    this.batches = new Map();
    /** @type {Map<string, Solidity>} */
    this.seen = new Map();
    /** @type {Fineness} */
    this.fineness = 'coarse';
    this.lines = true;
    /** @type {'plain'|'fine'} */
    this.quality = 'plain';
    this.dark = false;
    this.cut = new THREE.Vector4();
    /** @type {THREE.Object3D[]} */
    this.caps = [];
    /** @type {Shown|null} */
    this.shown = null;
    /** @type {number|undefined} */
    this.low = undefined;
  }

  /** Draw the parts so. @param {Shown} shown */
  arrange(shown) {
    this.shown = shown;
    this.low = undefined;
    const wanted = this.sorted(shown);
    for (const [key, batch] of this.batches) {
      if (wanted.has(key)) continue;
      this.drop(batch);
      this.batches.delete(key);
    }
    for (const [key, batch] of wanted) if (!this.batches.has(key)) this.batches.set(key, batch);
    if (shown.cut) this.cut.set(shown.cut.normal[0], shown.cut.normal[1], shown.cut.normal[2], shown.cut.at);
    this.cap(shown.cut);
    this.refine();
  }

  /** @param {Shown} shown */
  sorted(shown) {
    /** @type {Map<string, Batch>} */
    const found = new Map();
    this.seen.clear();
    for (const body of this.variant.bodies) {
      const solidity = shown.solidity(body);
      this.seen.set(body.name, solidity);
      if (solidity === 'hidden') continue;
      const picked = shown.picked(body);
      const kind = [body.frame, solidity, picked, solidity === 'cut' ? body.look : ''].join(' ');
      const known = found.get(kind);
      if (known) known.bodies.push(body);
      else found.set(kind, { frame: body.frame, solidity, picked, bodies: [body], shift: shown.shift, layers: new Map() });
    }
    const named = [...found].map(([kind, batch]) => {
      const rest = batch.bodies.map((body) => `${body.name}:${shown.shift(body).toFixed(2)}`);
      return /** @type {[string, Batch]} */ ([`${kind} ${rest.join()}`, batch]);
    });
    return new Map(named);
  }

  /** Show the layers of the fineness that is wanted, making those that are not there yet. */
  refine() {
    for (const batch of this.batches.values()) {
      if (!batch.layers.has(this.fineness)) this.build(batch, this.fineness);
      for (const [fineness, [skin, edges]] of batch.layers) {
        const wanted = fineness === this.fineness;
        skin.visible = wanted && (this.lines || batch.solidity !== 'glass');
        edges.visible = wanted && (this.lines || batch.solidity === 'glass');
      }
    }
    for (const cap of this.caps) cap.visible = cap.userData.fineness === undefined || cap.userData.fineness === this.fineness;
  }

  /**
   * @param {Batch} batch
   * @param {Fineness} fineness
   */
  build(batch, fineness) {
    const { solidity, picked } = batch;
    const made = merged(batch.bodies, this.parts, fineness, batch.shift, solidity === 'glass' || solidity === 'faint');
    const cut = solidity === 'cut' ? this.cut : undefined;
    const accent = this.parts.look('highlight').colour;
    const tint = picked ? new THREE.Vector4(accent[0], accent[1], accent[2], ACCENT_SHARE) : undefined;
    const skin = new THREE.Mesh(made.surface, surface({ quality: this.quality, cut, opacity: OPACITY[solidity], tint }));
    const clear = solidity === 'glass' || solidity === 'faint';
    const ink = this.dark && clear ? [0.78, 0.83, 0.88] : this.parts.look('edge').colour;
    const edges = new THREE.LineSegments(made.edges, flat(ink, EDGES[solidity], cut));
    const layer = [skin, edges];
    skin.renderOrder = clear ? 4 : 0;
    edges.renderOrder = clear ? 5 : 2;
    for (const object of layer) {
      object.frustumCulled = false;
      object.matrixAutoUpdate = false;
      this.nodes.get(batch.frame)?.add(object);
    }
    batch.layers.set(fineness, layer);
    this.scene.updateMatrixWorld(true);
    if (cut) this.cap(this.shown?.cut ?? null);
  }

  /**
   * Close what a cut opens: back faces count up and front faces down, and where something is left there was metal.
   * @param {Cut|null} cut
   */
  cap(cut) {
    for (const object of this.caps) {
      object.removeFromParent();
      const drawn = /** @type {THREE.Mesh} */ (object);
      if (object.userData.own) drawn.geometry.dispose();
      /** @type {THREE.Material} */ (drawn.material).dispose();
    }
    this.caps = [];
    if (!cut) return;
    let order = 6;
    for (const batch of this.batches.values()) {
      if (batch.solidity !== 'cut') continue;
      for (const [fineness, [skin]] of batch.layers) {
        for (const back of [true, false]) {
          const counted = new THREE.Mesh(/** @type {THREE.Mesh} */ (skin).geometry, counting(back, this.cut));
          counted.userData.fineness = fineness;
          this.putCap(counted, order, batch.frame);
        }
      }
      const look = this.parts.look(this.parts.look(batch.bodies[0].look).cut);
      const spacing = HATCH_MM * (order % 2 ? -1 : 1);
      const face = new THREE.Mesh(new THREE.PlaneGeometry(LONG_MM, LONG_MM), hatched(look.colour, this.parts.look('hatch').colour, spacing));
      face.userData.own = true;
      const material = /** @type {THREE.Material} */ (face.material);
      Object.assign(material, {
        stencilWrite: true, stencilFunc: THREE.NotEqualStencilFunc, stencilRef: 0,
        stencilFail: THREE.ZeroStencilOp, stencilZFail: THREE.ZeroStencilOp, stencilZPass: THREE.ZeroStencilOp,
      });
      const normal = new THREE.Vector3(...cut.normal);
      face.up.set(Math.abs(normal.z) > 0.9 ? 1 : 0, 0, Math.abs(normal.z) > 0.9 ? 0 : 1);
      face.lookAt(normal);
      face.position.copy(normal).multiplyScalar(cut.at);
      face.updateMatrix();
      this.putCap(face, order + 0.5, 'E');
      order += 1;
    }
    this.scene.updateMatrixWorld(true);
    this.caps.forEach((object) => (object.visible = object.userData.fineness === undefined || object.userData.fineness === this.fineness));
  }

  /**
   * @param {THREE.Mesh} object
   * @param {number} order
   * @param {string} frame
   */
  putCap(object, order, frame) {
    object.renderOrder = order - 5.9;
    object.frustumCulled = false;
    object.matrixAutoUpdate = false;
    this.nodes.get(frame)?.add(object);
    this.caps.push(object);
  }

  /** Turn the crank. @param {number} crank_deg */
  pose(crank_deg) {
    for (const frame of this.variant.frames) {
      const { x, y, z, turn } = poseOf(frame.law, crank_deg);
      const c = Math.cos(turn);
      const s = Math.sin(turn);
      this.nodes.get(frame.name)?.matrix.set(1, 0, 0, x, 0, c, -s, y, 0, s, c, z, 0, 0, 0, 1);
    }
    this.scene.updateMatrixWorld(true);
  }

  /**
   * Corners of the boxes of all that is shown, over a whole turn, in E.
   * @param {number} step_deg
   * @param {boolean} [spread] whether parts count where they are spread to
   * @returns {number[]}
   */
  reach(step_deg, spread = true) {
    const laws = new Map(this.variant.frames.map((frame) => [frame.name, frame.law]));
    /** @type {number[]} */
    const found = [];
    for (const body of this.variant.bodies) {
      const law = laws.get(body.frame);
      if (!law || this.seen.get(body.name) === 'hidden') continue;
      const box = boxOf(this.parts.triangles(body.solid, 'coarse').points);
      const p = body.pose;
      for (let deg = 0; deg < (law.kind === 'fixed' ? 1 : 360); deg += step_deg) {
        const { x, y, z, turn } = poseOf(law, deg);
        const [c, s] = [Math.cos(turn), Math.sin(turn)];
        for (let k = 0; k < 8; k += 1) {
          const v = [box[k & 1 ? 3 : 0], box[k & 2 ? 4 : 1], box[k & 4 ? 5 : 2]];
          const f = [0, 4, 8].map((r) => p[r] * v[0] + p[r + 1] * v[1] + p[r + 2] * v[2] + p[r + 3]);
          if (spread) f[2] += this.shown?.shift(body) ?? 0;
          found.push(f[0] + x, c * f[1] - s * f[2] + y, s * f[1] + c * f[2] + z);
        }
      }
    }
    return found;
  }

  /** Height of the lowest thing that is shown, mm in E. */
  get lowest_mm() {
    if (this.low === undefined) {
      const heights = this.reach(30, false).filter((_, i) => i % 3 === 2);
      this.low = heights.length ? heights.reduce((low, z) => Math.min(low, z)) : 0;
    }
    return this.low;
  }

  /** Let go of everything that the graphics memory holds for batches, to be built anew. */
  forget() {
    this.cap(null);
    for (const batch of this.batches.values()) this.drop(batch);
    this.batches.clear();
  }

  /** @param {Batch} batch */
  drop(batch) {
    for (const layer of batch.layers.values()) {
      for (const object of layer) {
        object.removeFromParent();
        const drawn = /** @type {THREE.Mesh} */ (object);
        drawn.geometry.dispose();
        /** @type {THREE.Material} */ (drawn.material).dispose();
      }
    }
    batch.layers.clear();
  }
}

/**
 * @param {boolean} back
 * @param {THREE.Vector4} cut
 */
function counting(back, cut) {
  const material = flat([0, 0, 0], 1, cut);
  const change = back ? THREE.IncrementWrapStencilOp : THREE.DecrementWrapStencilOp;
  Object.assign(material, {
    side: back ? THREE.BackSide : THREE.FrontSide, colorWrite: false, depthWrite: false, depthTest: false,
    stencilWrite: true, stencilFunc: THREE.AlwaysStencilFunc,
    stencilFail: change, stencilZFail: change, stencilZPass: change,
  });
  return material;
}
