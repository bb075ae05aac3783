/** @typedef {{left: number, top: number, width: number, height: number}} Part of the picture, px from the upper left */

/**
 * Where one or two engines stand in the picture: beside each other, on narrow screens one above the other.
 * @param {number} count
 * @param {number} width
 * @param {number} height
 * @returns {Part[]}
 */
export function sides(count, width, height) {
  if (count < 2) return [{ left: 0, top: 0, width, height }];
  const beside = width >= height;
  const [w, h] = beside ? [Math.floor(width / 2), height] : [width, Math.floor(height / 2)];
  return [0, 1].map((i) => ({ left: beside ? i * (width - w) : 0, top: beside ? 0 : i * (height - h), width: w, height: h }));
}
