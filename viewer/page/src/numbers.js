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

const MM_PER_IN = 25.4;
const FT_MIN_PER_M_S = 60 / 0.3048;
/** Exact by definition (NIST SP 811, appendix B); a shop speaks of acceleration in multiples of it. */
export const STANDARD_GRAVITY_M_S2 = 9.80665;

/**
 * A length as geometry.units.show writes it, finely.
 * @param {number} mm
 * @param {'in'|'mm'} units
 */
export function lengthWords(mm, units) {
  return units === 'in' ? `${fixed(mm / MM_PER_IN, 4)} in` : `${fixed(mm, 3)} mm`;
}

/**
 * A speed as geometry.units.show writes it.
 * @param {number} metresPerSecond
 * @param {'in'|'mm'} units
 */
export function speedWords(metresPerSecond, units) {
  return units === 'in' ? `${fixed(metresPerSecond * FT_MIN_PER_M_S, 0)} ft/min` : `${fixed(metresPerSecond, 2)} m/s`;
}

/**
 * Without a minus sign on zero.
 * @param {number} value
 * @param {number} digits
 */
export function fixed(value, digits) {
  const text = value.toFixed(digits);
  return Number(text) === 0 ? text.replace('-', '') : text;
}
