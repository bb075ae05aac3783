/** @import {Page, Place, Variant} from './types.js' */

/**
 * Everything a hand can change. Nothing else in the page keeps such state; whoever shows it subscribes.
 * @typedef {object} State
 * @property {number} crank_deg never wrapped, so that a turn backwards runs smoothly through zero
 * @property {-1|0|1} playing
 * @property {number} speed_deg_s
 * @property {number} bore the chosen bore
 * @property {boolean} alone the chosen bore alone
 * @property {'glass'|'cut'|'solid'|'hidden'} block
 * @property {string[]} hidden families that are left out
 * @property {number} spread 0 assembled to 1 apart, of the chosen bore
 * @property {string|null} place id of the chosen place, of the variant shown last
 * @property {string[]} shown keys of the one or two variants on show
 * @property {string} view iso, front, rear, left, right, top, below, bore, place; with a count behind a dot to ask anew
 * @property {string|null} picked name of the body that was tapped last
 * @property {string} panel
 * @property {boolean} touched whether a hand has taken over from the picture that moves by itself
 */

/** @typedef {(state: State, changed: Set<keyof State>) => void} Listener */

export class Store {
  /**
   * @param {Page} page
   * @param {State} state
   */
  constructor(page, state) {
    this.page = page;
    this.state = state;
    /** @type {Set<Listener>} */
    this.listeners = new Set();
  }

  /** @param {Partial<State>} patch */
  set(patch) {
    /** @type {Set<keyof State>} */
    const changed = new Set();
    for (const key of /** @type {(keyof State)[]} */ (Object.keys(patch))) {
      if (patch[key] !== this.state[key]) changed.add(key);
    }
    if (!changed.size) return;
    this.state = { ...this.state, ...patch };
    for (const listener of [...this.listeners]) listener(this.state, changed);
  }

  /**
   * @param {Listener} listener
   * @returns {() => void} to stop listening
   */
  listen(listener) {
    this.listeners.add(listener);
    return () => this.listeners.delete(listener);
  }

  /** Another engine in place of this one, the state kept as far as it fits. @param {Page} page */
  replace(page) {
    this.page = page;
    const keys = page.variants.map((variant) => variant.key);
    const shown = this.state.shown.filter((key) => keys.includes(key));
    const bores = page.variants[0].bores.map((bore) => bore.bore);
    this.state = {
      ...this.state,
      shown: shown.length ? shown : page.shown,
      bore: bores.includes(this.state.bore) ? this.state.bore : bores[0],
      place: null,
      picked: null,
    };
    const all = /** @type {Set<keyof State>} */ (new Set(Object.keys(this.state)));
    for (const listener of [...this.listeners]) listener(this.state, all);
  }

  /** Variants on show. @returns {Variant[]} */
  get variants() {
    const found = this.state.shown.map((key) => this.page.variants.find((variant) => variant.key === key));
    return /** @type {Variant[]} */ (found.filter(Boolean));
  }

  /** The one that lists and numbers are about: the last on show. @returns {Variant} */
  get variant() {
    return this.variants[this.variants.length - 1] ?? this.page.variants[0];
  }

  /** @returns {Place|null} */
  get place() {
    return this.variant.places.find((place) => place.id === this.state.place) ?? null;
  }
}

/**
 * @param {Page} page
 * @returns {State}
 */
export function firstState(page) {
  return {
    crank_deg: 0,
    playing: 0,
    speed_deg_s: 60,
    bore: page.variants[0].bores[0].bore,
    alone: false,
    block: 'glass',
    hidden: page.families.filter((family) => family.hidden).map((family) => family.name),
    spread: 0,
    place: null,
    picked: null,
    shown: page.shown,
    view: 'iso',
    panel: '',
    touched: false,
  };
}
