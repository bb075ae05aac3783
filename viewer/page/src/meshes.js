/** @import {Packed} from './types.js' */

/**
 * @typedef {object} Triangles
 * @property {Float32Array} points (3 n)
 * @property {Uint32Array} triangles (3 m)
 */

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
 * @param {ArrayBuffer} bytes
 * @param {Packed} packed
 * @returns {Triangles}
 */
export function meshOf(bytes, packed) {
  const steps = new Uint16Array(bytes, packed.at, 3 * packed.vertices);
  const points = Float32Array.from(steps, (step, i) => packed.low_mm[i % 3] + step * packed.step_mm[i % 3]);
  const behind = packed.at + 4 * Math.ceil((6 * packed.vertices) / 4);
  return { points, triangles: new Uint32Array(bytes.slice(behind, behind + 12 * packed.triangles)) };
}
