import { wrapped } from './numbers.js';
/** @import {Place} from './types.js' */
/** @import {Stage} from './stage.js' */
/** @import {State, Store} from './store.js' */

const MOST_BACK = 40;

/** Going from place to place, and back to where one stood. */
export class Journey {
  /**
   * @param {Store} store
   * @param {Stage|null} stage
   */
  constructor(store, stage) {
    this.store = store;
    this.stage = stage;
    /** @type {State[]} */
    this.past = [];
  }

  /** Take crank and camera to a place. @param {Place} place */
  goTo(place) {
    const { store } = this;
    this.past = [...this.past, store.state].slice(-MOST_BACK);
    store.set({
      place: place.id,
      bore: place.bore ?? store.state.bore,
      crank_deg: place.crank_deg === null ? store.state.crank_deg : nearestTurn(store.state.crank_deg, place.crank_deg, store.variant.cycle_deg),
      playing: 0,
      touched: true,
      view: 'place',
    });
    this.look('goTo', place);
  }

  /** The place so many further down the list, round and round. @param {number} step */
  next(step) {
    const { places } = this.store.variant;
    if (!places.length) return;
    const at = places.findIndex((place) => place.id === this.store.state.place);
    this.goTo(places[at < 0 ? (step > 0 ? 0 : places.length - 1) : (at + step + places.length) % places.length]);
  }

  worst() {
    const [place] = this.store.variant.places;
    if (place) this.goTo(place);
  }

  /** The like place of the next bore. */
  alike() {
    const { place } = this.store;
    const like = this.store.variant.places.filter((one) => one.kind === place?.kind && one.group === place.group);
    if (place) this.goTo(like[(like.indexOf(place) + 1) % like.length]);
  }

  /** Where one stood before. */
  back() {
    const before = this.past.pop();
    if (!before) return;
    const { crank_deg, bore, place, alone, view } = before;
    this.store.set({ crank_deg, bore, place, alone, view, playing: 0 });
    const there = this.store.place;
    if (there) this.look('goTo', there);
    else this.look('fit');
  }

  /**
   * Turn the crank by hand.
   * @param {number} step degrees
   */
  turn(step) {
    const { state } = this.store;
    this.store.set({ crank_deg: Math.round((state.crank_deg + step) * 10) / 10, playing: 0, touched: true });
  }

  /** The same angle of the cycle that is nearest to where it stands. @param {number} deg */
  turnTo(deg) {
    const { state, variant } = this.store;
    this.store.set({ crank_deg: nearestTurn(state.crank_deg, deg, variant.cycle_deg), playing: 0, touched: true });
  }

  /** @param {-1|1} sense */
  play(sense) {
    this.store.set({ playing: this.store.state.playing === sense ? 0 : sense, touched: true });
  }

  /** To the next dead centre of the chosen bore. @param {'top_deg'|'bottom_deg'} which */
  deadCentre(which) {
    const { state, variant } = this.store;
    const bore = variant.bores.find((one) => one.bore === state.bore) ?? variant.bores[0];
    const ahead = wrapped(bore[which] - state.crank_deg - 0.05, 360) + 0.05;
    this.store.set({ crank_deg: state.crank_deg + ahead, playing: 0, touched: true });
  }

  fit() {
    this.look('fit');
  }

  /**
   * Ask the stage where it can.
   * @param {'goTo'|'fit'} what
   * @param {...unknown} rest
   */
  look(what, ...rest) {
    const stage = /** @type {any} */ (this.stage);
    stage?.[what]?.(...rest);
  }
}

/**
 * The angle of the same place in the cycle that is nearest to where the crank stands.
 * @param {number} from
 * @param {number} to
 * @param {number} cycle
 */
export function nearestTurn(from, to, cycle) {
  return from + wrapped(to - from + cycle / 2, cycle) - cycle / 2;
}
