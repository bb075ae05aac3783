/**
 * Into 0 to cycle.
 * @param {number} deg
 * @param {number} cycle
 */
export function wrapped(deg, cycle) {
  return ((deg % cycle) + cycle) % cycle;
}

/** An angle as it is read: to a tenth, without a minus zero. @param {number} deg */
export function angleWords(deg) {
  return `${(Math.round(deg * 10) / 10 + 0).toFixed(1)}°`;
}

/**
 * Crank angle after a bore's own top dead centre.
 * @param {number} crankDeg
 * @param {{top_deg: number}} bore
 */
export function afterTop(crankDeg, bore) {
  return wrapped(crankDeg - bore.top_deg, 360);
}

/**
 * The name of a view, with a count behind a dot where it is the one that was asked for last.
 * @param {string} view
 * @param {string} before
 */
export function again(view, before) {
  const [name, count] = before.split('.');
  return name === view ? `${view}.${Number(count ?? 0) + 1}` : view;
}
