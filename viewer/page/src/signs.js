import { drawn, element } from './elements.js';
import { middleOf } from './arrange.js';
import { poseOf } from './motion.js';
/** @import {Eye} from './camera.js' */
/** @import {Model} from './model.js' */
/** @import {State} from './store.js' */
/** @import {Place} from './types.js' */

/** How far over its rim a number stands, in radii; which decks look away: viewer/scene/signs.py. */
const [OVER_SHARE, GLASS_TURNED, CUT_TURNED, TRUE_DEG, APART_PX] = [0.55, 0.3, 0.05, 0.5, 3];

/** @typedef {{node: HTMLElement, x: number, y: number, depth: number, moves: number[][]}} Sign */

/** What is written over one half of the picture: bores, FRONT, a dimension, and what the half is called. */
export class Signs {
  constructor() {
    this.lines = drawn('svg', { class: 'sign-lines', 'aria-hidden': 'true' });
    this.element = element('div', { class: 'signs', 'aria-hidden': 'true' }, this.lines);
    /** @type {Map<string, HTMLElement>} */
    this.nodes = new Map();
    /** @type {Set<string>} */
    this.used = new Set();
    /** @type {{x: number, y: number, w: number, h: number}[]} */
    this.taken = [];
    /** @type {Map<HTMLElement, [number, number, string]>} */
    this.sizes = new Map();
  }

  /**
   * Write everything anew where it stands now.
   * @param {Model} model
   * @param {Eye} eye
   * @param {State} state
   * @param {{place: Place|null, lit: boolean, words: string, tone: string, width: number, height: number}} more
   */
  write(model, eye, state, { place, lit, words, tone, width, height }) {
    this.used.clear();
    this.taken = [];
    this.size = { width, height };
    this.lines.replaceChildren();
    this.lines.setAttribute('viewBox', `0 0 ${width} ${height}`);
    if (words) this.put({ node: this.node('half', words, tone), x: width / 2, y: 20, depth: 0, moves: [[0, 0]] });
    const dimension = place && this.dimension(eye, place, state.crank_deg, model.variant.cycle_deg);
    if (!lit) {
      this.front(model, eye);
      this.bores(model, eye, state);
    } else if (!dimension && place) this.bores(model, eye, { ...state, alone: true });
    for (const [key, node] of this.nodes) node.hidden = !this.used.has(key);
  }

  /** @param {Eye} eye @param {readonly number[]} at */
  onto(eye, at) {
    const { width, height } = this.size ?? { width: 1, height: 1 };
    const { x, y, depth } = eye.seen(at);
    return { x: ((x + 1) / 2) * width, y: ((1 - y) / 2) * height, depth };
  }

  /**
   * @param {Model} model
   * @param {Eye} eye
   * @param {State} state
   */
  bores(model, eye, state) {
    const away = state.block === 'hidden' || state.hidden.includes('block');
    const least = away || state.block === 'glass' ? GLASS_TURNED : CUT_TURNED;
    const { position } = eye.camera;
    /** @type {Sign[]} */
    const signs = [];
    for (const bore of model.variant.bores) {
      if ((state.alone || state.view.split('.')[0] === 'bore') && bore.bore !== state.bore) continue;
      const bank = (bore.bank_deg * Math.PI) / 180;
      const out = [0, -Math.sin(bank), Math.cos(bank)];
      const piston = model.variant.frames.find((frame) => frame.name === `P${bore.bore}`);
      const lift = state.spread && bore.bore === state.bore ? model.variant.bodies.find((b) => b.group === 'pistons' && b.bore === bore.bore) : null;
      let along = bore.deck_mm;
      if (away && piston) {
        const { y, z } = poseOf(piston.law, state.crank_deg);
        along = y * out[1] + z * out[2] + bore.crown_mm;
      }
      if (lift) along += state.spread * lift.apart;
      const rim = [bore.x_mm, out[1] * along, out[2] * along];
      const toward = rim.map((v, i) => v - [position.x, position.y, position.z][i]);
      const turned = (toward[1] * out[1] + toward[2] * out[2]) / Math.hypot(...toward);
      if (turned > least) continue;
      const up = OVER_SHARE * bore.radius_mm;
      const { x, y, depth } = this.onto(eye, [rim[0], rim[1] + up * out[1], rim[2] + up * out[2]]);
      const node = this.node(`bore ${bore.bore}`, String(bore.bore));
      node.classList.toggle('chosen', bore.bore === state.bore);
      signs.push({ node, x, y, depth, moves: [[0, 0], [0, -1], [0, 1], [1, 0], [-1, 0]] });
    }
    signs.sort((a, b) => a.depth - b.depth).forEach((sign) => this.put(sign));
  }

  /** @param {Model} model @param {Eye} eye */
  front(model, eye) {
    const bore = 2 * model.variant.bores[0].radius_mm;
    const [long, wide, low] = [0.6 * bore, 0.12 * bore, model.lowest_mm];
    const tail = [-0.3 * bore, 0, low];
    const at = (/** @type {number} */ x, /** @type {number} */ y) => this.onto(eye, [tail[0] - x * long, y * wide, low]);
    const outline = [[0, -0.5], [0.6, -0.5], [0.6, -1], [1, 0], [0.6, 1], [0.6, 0.5], [0, 0.5]].map(([x, y]) => at(x, y));
    const tip = outline[3];
    if (outline.some((p) => p.depth <= 0)) return;
    const spread = Math.hypot(tip.x - outline[0].x, tip.y - outline[0].y);
    if (spread < 4) return;
    this.lines.append(drawn('polygon', { class: 'front', points: outline.map((p) => `${p.x.toFixed(1)},${p.y.toFixed(1)}`).join(' ') }));
    const sign = { node: this.node('front', 'FRONT'), x: tip.x, y: tip.y + 18, depth: tip.depth, moves: [[0, 0], [-1, 0], [0, 1], [0, -2]] };
    this.put(sign);
  }

  /**
   * The distance between the two ends of a place, where the crank stands there.
   * @param {Eye} eye
   * @param {Place} place
   * @param {number} crank_deg
   * @param {number} cycle
   */
  dimension(eye, place, crank_deg, cycle) {
    const middle = middleOf(place);
    if (!middle) return false;
    const period = place.curve_mm ? place.period_deg : cycle;
    const off = place.crank_deg === null ? 0 : (((crank_deg - place.crank_deg) % period) + 1.5 * period) % period - period / 2;
    if (Math.abs(off) > TRUE_DEG) return false;
    const m = this.onto(eye, middle);
    if (m.depth <= 0) return false;
    const ends = place.a_mm && place.b_mm ? [this.onto(eye, place.a_mm), this.onto(eye, place.b_mm)] : [m];
    const node = this.node('dimension', '', place.severity);
    const said = [place.value, place.verdict].filter(Boolean);
    if (node.dataset.said !== said.join('|')) {
      node.replaceChildren(...said.map((line, i) => element(i ? 'span' : 'strong', {}, line)));
      node.dataset.said = said.join('|');
    }
    const { width, height } = this.size ?? { width: 1, height: 1 };
    const [sx, sy] = [m.x > 0.55 * width ? -1 : 1, m.y < 0.35 * height ? 1 : -1];
    const sign = { node, x: m.x + sx * 0.2 * width, y: m.y + sy * 0.2 * height, depth: m.depth, moves: [[0, 0]] };
    this.put(sign);
    const box = this.taken[this.taken.length - 1];
    if (!box) return false;
    const to = { x: Math.min(Math.max(m.x, box.x), box.x + box.w), y: Math.min(Math.max(m.y, box.y), box.y + box.h) };
    for (const kind of ['halo', 'line']) {
      const line = (/** @type {{x: number, y: number}} */ p, /** @type {{x: number, y: number}} */ q) =>
        this.lines.append(drawn('line', { class: `${kind} ${place.severity}`, x1: p.x, y1: p.y, x2: q.x, y2: q.y }));
      if (ends.length > 1) line(ends[0], ends[1]);
      line(m, to);
      ends.forEach((p) => this.lines.append(drawn('circle', { class: `${kind} ${place.severity}`, cx: p.x, cy: p.y, r: 4 })));
    }
    return true;
  }

  /**
   * @param {string} key
   * @param {string} text
   * @param {string} [more]
   */
  node(key, text, more = '') {
    let node = this.nodes.get(key);
    if (!node) {
      node = element('div', {}, text);
      this.element.append(node);
      this.nodes.set(key, node);
    }
    if (text && node.textContent !== text) node.textContent = text;
    const kind = `sign ${key.split(' ')[0]} ${more}`.trim();
    if (!node.className.startsWith(kind)) node.className = kind;
    return node;
  }

  /**
   * Put words where they stand, or beside it where something stands there already; else leave them out.
   * @param {Sign} sign
   */
  put({ node, x, y, depth, moves }) {
    const { width, height } = this.size ?? { width: 1, height: 1 };
    if (depth < 0 || x < -40 || y < -40 || x > width + 40 || y > height + 40) return;
    node.hidden = false;
    const [w, h] = this.sizeOf(node);
    for (const [dx, dy] of moves) {
      const left = Math.min(Math.max(x + dx * (w + APART_PX) - w / 2, 4), width - w - 4);
      const top = Math.min(Math.max(y + dy * (h + APART_PX) - h / 2, 4), height - h - 4);
      const free = this.taken.every((b) => left >= b.x + b.w + APART_PX || left + w + APART_PX <= b.x || top >= b.y + b.h + APART_PX || top + h + APART_PX <= b.y);
      if (!free) continue;
      this.taken.push({ x: left, y: top, w, h });
      node.style.transform = `translate(${left.toFixed(1)}px, ${top.toFixed(1)}px)`;
      for (const [key, one] of this.nodes) if (one === node) this.used.add(key);
      return;
    }
  }

  /** Measured once for each text and width of the room: asking the browser in every frame costs more than drawing. @param {HTMLElement} node */
  sizeOf(node) {
    const text = `${node.textContent} ${node.className} ${this.size?.width}`;
    const known = this.sizes.get(node);
    if (known && known[2] === text && known[0]) return known;
    /** @type {[number, number, string]} */
    const size = [node.offsetWidth, node.offsetHeight, text];
    this.sizes.set(node, size);
    return size;
  }
}

/**
 * Where arrow and numbers end, in E, so that they stand in the picture.
 * @param {Model} model
 * @returns {number[]}
 */
export function signsReach(model) {
  const { bores } = model.variant;
  const wide = 2 * bores[0].radius_mm;
  const tops = bores.flatMap(({ bank_deg, deck_mm, radius_mm, x_mm }) => {
    const bank = (bank_deg * Math.PI) / 180;
    const high = deck_mm + 1.2 * OVER_SHARE * radius_mm;
    return [x_mm, -Math.sin(bank) * high, Math.cos(bank) * high];
  });
  return [...tops, -0.95 * wide, 0, model.lowest_mm - 0.1 * wide];
}
