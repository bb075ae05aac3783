/** @import {Law} from './types.js' */

const RAD_PER_DEG = Math.PI / 180;

/**
 * A piston's height above the crank and its change, the closed form of geometry/kinematics/slider_crank.py.
 * @param {Law} law of a piston
 * @param {number} crankDeg
 * @returns {{height_mm: number, speed: number, acceleration: number}} mm, mm/rad, mm/rad2 of crank angle in the running direction
 */
export function strokeAt(law, crankDeg) {
  const { throw_mm: r, rod_mm: rod, offset_mm: offset, sense } = law;
  const phi = (law.pin_deg - law.bank_deg) * RAD_PER_DEG + sense * crankDeg * RAD_PER_DEG;
  const across = r * Math.sin(phi);
  const along = r * Math.cos(phi);
  const u = offset + across;
  const reach = Math.sqrt(rod * rod - u * u);
  return {
    height_mm: along + reach,
    speed: sense * (-across - (u * along) / reach),
    acceleration: -along - (along * along - u * across) / reach - (u * along) ** 2 / reach ** 3,
  };
}
