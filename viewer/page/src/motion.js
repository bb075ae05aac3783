/** @import {Law} from './types.js' */

const RAD = Math.PI / 180;

/**
 * Where a frame stands: the closed form of geometry/kinematics/laws.py.
 * @param {Law} law
 * @param {number} crankDeg in the running direction
 * @returns {{x: number, y: number, z: number, turn: number}} its origin, mm, and its angle about +x, rad
 */
export function poseOf(law, crankDeg) {
  const theta = crankDeg * RAD;
  const bank = law.bank_deg * RAD;
  let turn = law.turn_deg * RAD + law.rate * theta;
  let { y_mm: y, z_mm: z } = law;
  if (law.kind === 'rod' || law.kind === 'piston') {
    const phi = (law.pin_deg - law.bank_deg) * RAD + law.sense * theta;
    const pinAcross = law.throw_mm * Math.sin(phi);
    const pinAlong = law.throw_mm * Math.cos(phi);
    const u = law.offset_mm + pinAcross;
    const reach = Math.sqrt(law.rod_mm * law.rod_mm - u * u);
    const rod = law.kind === 'rod';
    if (rod) turn -= Math.asin(u / law.rod_mm);
    const across = rod ? -pinAcross : 0;
    const along = rod ? pinAlong : pinAlong + reach;
    y += Math.cos(bank) * across - Math.sin(bank) * along;
    z += Math.sin(bank) * across + Math.cos(bank) * along;
  } else if (law.kind === 'valve') {
    const above = law.lift_scale_mm * (Math.cos(law.lift_rate * (theta - law.full_deg * RAD)) - law.lift_shut);
    const lift = lifted(above, law.lift_ramp_mm);
    y += Math.sin(bank) * lift;
    z -= Math.cos(bank) * lift;
  }
  return { x: law.x_mm, y, z, turn };
}

/**
 * The lift with its corner at the seat rounded.
 * @param {number} above height above the seat, mm
 * @param {number} ramp mm
 */
function lifted(above, ramp) {
  const near = Math.min(Math.max(above + ramp, 0), 2 * ramp);
  return above >= ramp ? above : (near * near) / (4 * ramp);
}
