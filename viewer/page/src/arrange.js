/** @import {Body, Bore, Page, Place, Variant} from './types.js' */
/** @import {State} from './store.js' */

/**
 * What a picture shows of the parts: viewer/scene/arrange.py, for the page.
 * @typedef {'solid'|'glass'|'cut'|'faded'|'faint'|'hidden'} Solidity
 */

/**
 * A plane that opens parts up: what lies on the side of its normal is taken away.
 * @typedef {object} Cut
 * @property {number[]} normal (3) unit, in E
 * @property {number} at its distance from the origin along the normal, mm
 */

/**
 * @typedef {object} Shown
 * @property {(body: Body) => Solidity} solidity
 * @property {(body: Body) => boolean} picked drawn in the one accent
 * @property {(body: Body) => number} shift along its frame's z, mm
 * @property {Cut|null} cut
 */

/**
 * @param {Page} page
 * @param {Variant} variant
 * @param {State} state
 * @param {readonly string[]} lit bodies that are meant: the rest is faded
 * @param {Cut|null} opening where the place is opened to the eye
 * @returns {Shown}
 */
export function arranged(page, variant, state, lit, opening) {
  const families = new Map(page.families.map((family) => [family.name, family]));
  const meant = new Set(lit);
  const away = state.block === 'hidden' || state.hidden.includes('block');
  const along = state.view.split('.')[0] === 'bore';
  const bore = variant.bores.find((one) => one.bore === state.bore) ?? variant.bores[0];
  const places = new Map(variant.bores.map((one) => [one.bore, one.x_mm]));
  const cut = opening ?? (along ? { normal: [-1, 0, 0], at: -bore.x_mm } : state.block === 'cut' ? bankCut(variant, bore, state.view) : null);
  return {
    cut,
    picked: (body) => body.name === state.picked,
    shift: (body) => (state.spread && body.bore === state.bore ? state.spread * body.apart : 0),
    solidity(body) {
      const encloses = families.get(body.group)?.encloses ?? false;
      if (meant.has(body.name)) return encloses && opening ? 'cut' : encloses ? 'glass' : 'solid';
      if (state.hidden.includes(body.group) || (body.group === 'gasket' && away && state.hidden.includes('head'))) return 'hidden';
      if (state.alone && body.bore !== null && body.bore !== state.bore) return 'hidden';
      if (meant.size && !(encloses && state.block !== 'glass')) return encloses ? 'faint' : 'faded';
      if (encloses) return enclosing(body, state, along);
      if (along && body.group === 'main caps' && body.pose[3] < bore.x_mm) return 'hidden';
      if (along && (body.group === 'crank' || body.group === 'cam')) return 'cut';
      if (along && body.bore !== null && body.bore !== state.bore) {
        return (places.get(body.bore) ?? 0) < bore.x_mm - 1 ? 'hidden' : 'faded';
      }
      return 'solid';
    },
  };
}

/**
 * @param {Body} body
 * @param {State} state
 * @param {boolean} along whether one looks along the crank at one bore
 * @returns {Solidity}
 */
function enclosing(body, state, along) {
  if (state.block === 'hidden' || (state.spread && body.group !== 'block' && body.group !== 'pan')) return 'hidden';
  if (along) return 'cut';
  return state.block;
}

/**
 * The plane that opens the block towards the eye: through the bores of the chosen bank, or across the end bore.
 * @param {Variant} variant
 * @param {Bore} bore
 * @param {string} view
 * @returns {Cut}
 */
function bankCut(variant, bore, view) {
  const name = view.split('.')[0];
  if (name === 'front' || name === 'rear') {
    const ends = variant.bores.map((one) => one.x_mm);
    return name === 'front' ? { normal: [-1, 0, 0], at: -Math.min(...ends) } : { normal: [1, 0, 0], at: Math.max(...ends) };
  }
  const bank = (bore.bank_deg * Math.PI) / 180;
  const sign = bore.bank === 'left' || (bore.bank === 'line' && name !== 'right') ? -1 : 1;
  return { normal: [0, sign * Math.cos(bank), sign * Math.sin(bank)], at: 0 };
}

/**
 * The plane through a place, square to the line of sight, that takes away what stands before it.
 * @param {Place} place
 * @param {readonly number[]} toward unit looking direction
 * @returns {Cut|null}
 */
export function openingAt(place, toward) {
  const at = middleOf(place);
  return at && { normal: toward.map((v) => -v), at: -(toward[0] * at[0] + toward[1] * at[1] + toward[2] * at[2]) };
}

/**
 * The middle of a place, in E.
 * @param {Place} place
 * @returns {number[]|null}
 */
export function middleOf({ a_mm, b_mm }) {
  const ends = [a_mm ?? b_mm, b_mm ?? a_mm];
  const [a, b] = ends;
  return a && b ? a.map((v, i) => (v + b[i]) / 2) : null;
}
