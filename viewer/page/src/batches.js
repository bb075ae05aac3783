import * as THREE from 'three';
import { OUTSIDE, meshOf, shaded } from './meshes.js';
/** @import {Body, Look, Page} from './types.js' */
/** @import {Shaded, Triangles} from './meshes.js' */

/** @typedef {'fine'|'coarse'} Fineness */

/** The parts of one page as they come out of its bytes, each worked out once, when first asked for. */
export class Parts {
  /**
   * @param {Page} page
   * @param {ArrayBuffer} bytes
   */
  constructor(page, bytes) {
    this.page = page;
    this.bytes = bytes;
    /** @type {Map<string, Triangles>} */
    this.plain = new Map();
    /** @type {Map<string, Shaded>} */
    this.ready = new Map();
  }

  /**
   * @param {number} solid
   * @param {Fineness} fineness
   */
  triangles(solid, fineness) {
    return kept(this.plain, `${solid} ${fineness}`, () => meshOf(this.bytes, this.page.solids[solid][fineness]));
  }

  /**
   * @param {number} solid
   * @param {Fineness} fineness
   */
  shaded(solid, fineness) {
    return kept(this.ready, `${solid} ${fineness}`, () => shaded(this.triangles(solid, fineness)));
  }

  /** @param {string} name @returns {Look} */
  look(name) {
    return this.page.looks[name] ?? this.page.looks.steel;
  }
}

/**
 * @template T
 * @param {Map<string, T>} map
 * @param {string} key
 * @param {() => T} make
 * @returns {T}
 */
function kept(map, key, make) {
  const known = map.get(key);
  if (known !== undefined) return known;
  const made = make();
  map.set(key, made);
  return made;
}

/**
 * Surfaces and edges of bodies of one frame, each in one draw.
 * @param {readonly Body[]} bodies
 * @param {Parts} parts
 * @param {Fineness} fineness
 * @param {(body: Body) => number} shift how far a body stands along its frame's z from its place, mm
 * @param {boolean} glass whether only the outside is wanted, all in the look of glass
 */
export function merged(bodies, parts, fineness, shift, glass) {
  const meshes = bodies.map((body) => parts.shaded(body.solid, fineness));
  const total = (/** @type {(mesh: Shaded) => number} */ of) => meshes.reduce((sum, mesh) => sum + of(mesh), 0);
  const points = new Float32Array(total((mesh) => mesh.points.length));
  const normals = new Int8Array((points.length / 3) * 4);
  const looks = new Uint8Array(normals.length);
  const metal = new Uint8Array(normals.length);
  const index = new Uint32Array(total((mesh) => mesh.triangles.length));
  const lines = new Float32Array(total((mesh) => mesh.edges.length));
  let corners = 0;
  let vertices = 0;
  let ends = 0;
  meshes.forEach((mesh, which) => {
    const body = bodies[which];
    const pose = [...body.pose];
    pose[11] += shift(body);
    place(mesh.points, pose, points, 3 * vertices);
    const look = parts.look(glass ? 'glass' : body.look);
    const finer = glass ? look : parts.look(look.turned);
    const count = mesh.points.length / 3;
    for (let i = 0; i < count; i += 1) {
      const to = 4 * (vertices + i);
      const [nx, ny, nz] = mesh.normals.subarray(3 * i, 3 * i + 3);
      for (let row = 0; row < 3; row += 1) {
        normals[to + row] = Math.round(127 * (pose[4 * row] * nx + pose[4 * row + 1] * ny + pose[4 * row + 2] * nz));
      }
      const shown = mesh.turned[i] ? finer : look;
      for (let k = 0; k < 3; k += 1) looks[to + k] = Math.round(255 * shown.colour[k]);
      looks[to + 3] = Math.round(255 * shown.roughness);
      metal[to] = Math.round(255 * shown.metallic);
    }
    for (let t = 0; t < mesh.marks.length; t += 1) {
      if (glass && !(mesh.marks[t] & OUTSIDE)) continue;
      for (let k = 0; k < 3; k += 1) index[corners++] = vertices + mesh.triangles[3 * t + k];
    }
    for (let edge = 0; edge < mesh.outside.length; edge += 1) {
      if (glass && !mesh.outside[edge]) continue;
      place(mesh.edges.subarray(6 * edge, 6 * edge + 6), pose, lines, ends);
      ends += 6;
    }
    vertices += count;
  });
  const surface = new THREE.BufferGeometry();
  surface.setAttribute('position', new THREE.BufferAttribute(points, 3));
  surface.setAttribute('normal', new THREE.BufferAttribute(normals, 4, true));
  surface.setAttribute('look', new THREE.BufferAttribute(looks, 4, true));
  surface.setAttribute('metal', new THREE.BufferAttribute(metal, 4, true));
  surface.setIndex(new THREE.BufferAttribute(index.subarray(0, corners), 1));
  const edges = new THREE.BufferGeometry();
  edges.setAttribute('position', new THREE.BufferAttribute(lines.subarray(0, ends), 3));
  return { surface, edges };
}

/**
 * @param {Float32Array} from (3 n)
 * @param {readonly number[]} pose the first three rows, (12)
 * @param {Float32Array} to
 * @param {number} at
 */
function place(from, pose, to, at) {
  for (let i = 0; i < from.length; i += 3) {
    for (let row = 0; row < 3; row += 1) {
      const r = 4 * row;
      to[at + i + row] = pose[r] * from[i] + pose[r + 1] * from[i + 1] + pose[r + 2] * from[i + 2] + pose[r + 3];
    }
  }
}
