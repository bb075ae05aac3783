/** @import {Packed} from './types.js' */

/**
 * @typedef {object} Triangles
 * @property {Float32Array} points (3 n)
 * @property {Uint32Array} triangles (3 m)
 * @property {Uint8Array} marks (m) 1, 2, 4: a sharp edge behind that corner; 8: turned; 16: outside
 */

/**
 * A mesh whose vertices are parted along its sharp edges.
 * @typedef {object} Shaded
 * @property {Float32Array} points (3 n)
 * @property {Float32Array} normals (3 n)
 * @property {Uint8Array} turned (n) bored, turned or ground
 * @property {Uint32Array} triangles (3 m)
 * @property {Uint8Array} marks (m)
 * @property {Float32Array} edges (6 k) ends of the sharp edges
 * @property {Uint8Array} outside (k) whether an edge lies at the outside
 */

const TURNED = 8;
export const OUTSIDE = 16;

/**
 * The bytes behind the page's text.
 * @param {string} text base64 of deflated bytes
 * @returns {Promise<ArrayBuffer>}
 */
export async function unpacked(text) {
  const packed = Uint8Array.from(atob(text.trim()), (letter) => letter.charCodeAt(0));
  const stream = new Blob([packed]).stream().pipeThrough(new DecompressionStream('deflate'));
  return new Response(stream).arrayBuffer();
}

/**
 * Undo viewer/page/solids.py.
 * @param {ArrayBuffer} bytes
 * @param {Packed} packed
 * @returns {Triangles}
 */
export function meshOf(bytes, packed) {
  const { vertices: n, triangles: m } = packed;
  const all = new Uint8Array(bytes, packed.at, 9 * n + 10 * m);
  const points = new Float32Array(3 * n);
  for (let axis = 0; axis < 3; axis += 1) {
    let step = 0;
    for (let i = 0; i < n; i += 1) {
      step += difference(all, 3 * n * axis + i, n);
      points[3 * i + axis] = packed.low_mm[axis] + step * packed.step_mm[axis];
    }
  }
  const triangles = new Uint32Array(3 * m);
  for (let corner = 0; corner < 3; corner += 1) {
    for (let i = 0; i < m; i += 1) {
      const from = corner ? triangles[3 * i + corner - 1] : i ? triangles[3 * i - 3] : 0;
      triangles[3 * i + corner] = from + difference(all, 9 * n + 3 * m * corner + i, m);
    }
  }
  return { points, triangles, marks: all.slice(9 * n + 9 * m) };
}

/**
 * The low bytes of all differences stand before all of the next higher; 0, 1, 2, 3 .. are 0, -1, 1, -2 ..
 * @param {Uint8Array} all
 * @param {number} at
 * @param {number} count
 */
function difference(all, at, count) {
  const plain = all[at] | (all[at + count] << 8) | (all[at + 2 * count] << 16);
  return plain & 1 ? -((plain + 1) >> 1) : plain >> 1;
}

/**
 * Normals and edges: viewer/scene/shading.py, which has marked the sharp edges.
 * @param {Triangles} mesh
 * @returns {Shaded}
 */
export function shaded(mesh) {
  const { triangles, marks } = mesh;
  const twin = twins(triangles);
  const patch = patches(triangles, marks, twin);
  /** @type {number[]} */
  const ends = [];
  /** @type {number[]} */
  const outside = [];
  for (let half = 0; half < triangles.length; half += 1) {
    const t = Math.floor(half / 3);
    if (!(marks[t] & (1 << half % 3)) || twin[half] < half) continue;
    ends.push(triangles[half], triangles[half - (half % 3) + ((half + 1) % 3)]);
    outside.push(Number(((marks[t] | marks[Math.floor(twin[half] / 3)]) & OUTSIDE) > 0));
  }
  const edges = new Float32Array(3 * ends.length);
  ends.forEach((vertex, i) => edges.set(mesh.points.subarray(3 * vertex, 3 * vertex + 3), 3 * i));
  return { ...withNormals(mesh, patch), edges, outside: Uint8Array.from(outside) };
}

/**
 * The half edge that runs the other way along each; where there is none, a number above all.
 * @param {Uint32Array} triangles
 */
function twins(triangles) {
  const count = triangles.length;
  const twin = new Int32Array(count).fill(0x7fffffff);
  let size = 1;
  while (size < 2 * count) size *= 2;
  const table = new Int32Array(size).fill(-1);
  for (let half = 0; half < count; half += 1) {
    const a = triangles[half];
    const b = triangles[half - (half % 3) + ((half + 1) % 3)];
    const low = Math.min(a, b);
    const high = Math.max(a, b);
    let slot = (Math.imul(low, 73856093) ^ Math.imul(high, 19349663)) & (size - 1);
    for (; table[slot] >= 0; slot = (slot + 1) & (size - 1)) {
      const other = table[slot];
      const c = triangles[other];
      const d = triangles[other - (other % 3) + ((other + 1) % 3)];
      if (Math.min(c, d) !== low || Math.max(c, d) !== high || twin[other] !== 0x7fffffff) continue;
      twin[other] = half;
      twin[half] = other;
      break;
    }
    if (table[slot] < 0) table[slot] = half;
  }
  return twin;
}

/**
 * Corners of one vertex that smooth edges join get one number.
 * @param {Uint32Array} triangles
 * @param {Uint8Array} marks
 * @param {Int32Array} twin
 */
function patches(triangles, marks, twin) {
  const parent = Int32Array.from(triangles, (_, i) => i);
  const root = (/** @type {number} */ i) => {
    while (parent[i] !== i) {
      parent[i] = parent[parent[i]];
      i = parent[i];
    }
    return i;
  };
  const after = (/** @type {number} */ half) => half - (half % 3) + ((half + 1) % 3);
  for (let half = 0; half < triangles.length; half += 1) {
    const other = twin[half];
    if (other < half || other === 0x7fffffff || marks[Math.floor(half / 3)] & (1 << half % 3)) continue;
    const same = triangles[half] === triangles[other];
    parent[root(half)] = root(same ? other : after(other));
    parent[root(after(half))] = root(same ? after(other) : other);
  }
  return parent.map((_, i) => root(i));
}

/**
 * Every patch a vertex, with the mean normal of its corners, each weighted by its angle.
 * @param {Triangles} mesh
 * @param {Int32Array} patch of each corner, the number of one of its corners
 */
function withNormals({ points, triangles, marks }, patch) {
  const number = new Int32Array(patch.length).fill(-1);
  let count = 0;
  for (let i = 0; i < patch.length; i += 1) if (number[patch[i]] < 0) number[patch[i]] = count++;
  const parted = Uint32Array.from(patch, (root) => number[root]);
  const at = new Float32Array(3 * count);
  const normals = new Float32Array(3 * count);
  const turned = new Uint8Array(count);
  const p = [new Float64Array(3), new Float64Array(3), new Float64Array(3)];
  for (let t = 0; t < marks.length; t += 1) {
    for (let k = 0; k < 3; k += 1) for (let x = 0; x < 3; x += 1) p[k][x] = points[3 * triangles[3 * t + k] + x];
    const [a, b, c] = p;
    const nx = (b[1] - a[1]) * (c[2] - a[2]) - (b[2] - a[2]) * (c[1] - a[1]);
    const ny = (b[2] - a[2]) * (c[0] - a[0]) - (b[0] - a[0]) * (c[2] - a[2]);
    const nz = (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
    const twice = Math.hypot(nx, ny, nz);
    for (let k = 0; k < 3; k += 1) {
      const vertex = parted[3 * t + k];
      at.set(p[k], 3 * vertex);
      if (marks[t] & TURNED) turned[vertex] = 1;
      if (!(twice > 1e-12)) continue;
      const u = p[(k + 1) % 3];
      const v = p[(k + 2) % 3];
      const o = p[k];
      const along = (u[0] - o[0]) * (v[0] - o[0]) + (u[1] - o[1]) * (v[1] - o[1]) + (u[2] - o[2]) * (v[2] - o[2]);
      const weight = Math.atan2(twice, along) / twice;
      normals[3 * vertex] += weight * nx;
      normals[3 * vertex + 1] += weight * ny;
      normals[3 * vertex + 2] += weight * nz;
    }
  }
  for (let i = 0; i < 3 * count; i += 3) {
    const length = Math.hypot(normals[i], normals[i + 1], normals[i + 2]) || 1;
    for (let x = 0; x < 3; x += 1) normals[i + x] /= length;
  }
  return { points: at, normals, turned, triangles: parted, marks };
}
