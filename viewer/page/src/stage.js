import * as THREE from 'three';
import { arranged } from './arrange.js';
import { Parts } from './batches.js';
import { Eye, directionOf } from './camera.js';
import { element } from './elements.js';
import { hands } from './hands.js';
import { turnStudio } from './materials.js';
import { Model } from './model.js';
import { nearestAt } from './nearest.js';
import { firstHit } from './picking.js';
import { Pace } from './quality.js';
import { sides } from './sides.js';
import { sightOf } from './sight.js';
import { halfTone, halfWords } from './halves.js';
import { Signs, signsReach } from './signs.js';
/** @import {Cut} from './arrange.js' */
/** @import {State, Store} from './store.js' */
/** @import {Page, Place} from './types.js' */

/** After the last movement the picture is drawn in full. */
const STILL_MS = 150;
const MARGIN = 0.06;
const TURN_STEP_DEG = 30;

/** What of the state alters which parts are drawn and how. */
const ARRANGING = /** @type {(keyof State)[]} */ (['bore', 'alone', 'block', 'hidden', 'spread', 'place', 'view', 'picked']);

/** The engine in the picture: one node a moving frame, drawn only when something changes. */
export class Stage {
  /**
   * @param {Store} store
   * @param {ArrayBuffer} bytes
   */
  constructor(store, bytes) {
    this.store = store;
    this.bytes = bytes;
    /** @type {Page|null} */
    this.page = null;
    this.canvas = element('canvas', { tabindex: 0, 'aria-label': 'The engine: arrow keys turn the picture, plus and minus go nearer and farther' });
    this.element = element('div', { class: 'stage' }, this.canvas);
    this.renderer = new THREE.WebGLRenderer({ canvas: this.canvas, antialias: false, alpha: true, stencil: true });
    this.renderer.outputColorSpace = THREE.LinearSRGBColorSpace;
    this.renderer.setClearColor(0x000000, 0);
    this.renderer.autoClear = false;
    this.renderer.info.autoReset = false;
    this.eye = new Eye();
    this.pace = new Pace();
    /** @type {Model[]} */
    this.models = [];
    /** @type {Signs[]} */
    this.signs = [];
    /** @type {{place: string, cut: Cut|null}|null} */
    this.sight = null;
    this.parts = new Parts(store.page, bytes);
    this.warm = false;
    this.movedAt = -1e9;
    this.timer = 0;
    this.wanted = false;
    this.shownOnce = false;
    /** Pictures drawn so far. */
    this.frames = 0;
    this.size = { width: 0, height: 0, ratio: 0 };
    this.dark = matchMedia('(prefers-color-scheme: dark)');
    this.dark.addEventListener('change', () => this.again());
    this.canvas.addEventListener('webglcontextlost', (event) => event.preventDefault());
    this.canvas.addEventListener('webglcontextrestored', () => this.again());
    this.build();
    store.listen((state, changed) => this.changed(state, changed));
    hands(this.canvas, this.wishes());
    new ResizeObserver(() => this.resize()).observe(this.element);
  }

  /** Another page, or other variants of it, on show. */
  build() {
    const { store } = this;
    for (const model of this.models) model.forget();
    if (this.page !== store.page) {
      this.parts = new Parts(store.page, this.bytes);
      this.page = store.page;
      this.warm = false;
    }
    this.models = store.variants.map((variant) => new Model(store.page, variant, this.parts));
    for (const signs of this.signs) signs.element.remove();
    this.signs = this.models.map(() => new Signs());
    this.element.append(...this.signs.map((signs) => signs.element));
    this.arrange();
    for (const model of this.models) model.pose(store.state.crank_deg);
    if (this.shownOnce) this.warmUp();
  }

  /** Everything drawn anew, as after a change of light or quality. */
  again() {
    for (const model of this.models) model.forget();
    this.arrange();
    this.draw();
  }

  arrange() {
    const { page, state, place } = this.store;
    const mistake = page.mistake;
    const lit = place ? place.bodies : (mistake?.bodies ?? []);
    const opening = place && this.sight?.place === place.id ? this.sight.cut : null;
    for (const model of this.models) {
      model.quality = this.pace.quality;
      model.dark = this.dark.matches;
      model.arrange(arranged(page, model.variant, state, lit, opening));
    }
  }

  /**
   * @param {State} state
   * @param {Set<keyof State>} changed
   */
  changed(state, changed) {
    const anew = this.page !== this.store.page;
    if (anew || changed.has('shown')) {
      if (anew) this.sight = null;
      this.build();
      this.resize(true);
    } else if (ARRANGING.some((key) => changed.has(key))) {
      if (changed.has('place')) this.sight = null;
      this.movedAt = performance.now();
      this.settle('coarse');
      this.arrange();
    }
    if (changed.has('crank_deg')) for (const model of this.models) model.pose(state.crank_deg);
    if (!anew && (changed.has('place') || changed.has('view')) && this.store.place && state.view.startsWith('place')) this.goTo(this.store.place);
    else if (!anew && (changed.has('view') || (changed.has('bore') && state.view.startsWith('bore')))) this.fit();
    else if (changed.has('block') && state.view.startsWith('iso') && !this.store.place && !state.touched) this.fit();
    this.move();
  }

  /** Take the camera to a place; the crank is the store's. @param {Place} place */
  goTo(place) {
    const model = this.models[this.models.length - 1];
    if (!model) return;
    const found = sightOf(model, place, place.crank_deg ?? this.store.state.crank_deg);
    if (!found) return;
    this.sight = { place: place.id, cut: found.cut };
    this.arrange();
    this.eye.fly(found.gaze);
    this.move();
  }

  /** Everything that is shown in the picture, from the direction of the view by name. */
  fit() {
    this.eye.fly(this.wholeGaze());
    this.move();
  }

  /** Which place is nearest to its limit where the crank stands. @param {number} crank_deg */
  nearestAt(crank_deg) {
    return nearestAt(this.store.variant.places, crank_deg);
  }

  /** The picture as it stands, as a data address. */
  picture() {
    this.render(false);
    const copy = element('canvas', { width: this.canvas.width, height: this.canvas.height });
    const pen = copy.getContext('2d');
    if (pen) {
      pen.fillStyle = this.dark.matches ? '#1d2227' : '#e6eaee';
      pen.fillRect(0, 0, copy.width, copy.height);
      pen.drawImage(this.canvas, 0, 0);
    }
    return copy.toDataURL('image/png');
  }

  /** @param {boolean} [layout] whether the halves may have changed */
  resize(layout = false) {
    const { clientWidth: width, clientHeight: height } = this.element;
    if (!width || !height || (!layout && width === this.size.width && height === this.size.height)) return;
    this.size = { width, height, ratio: 0 };
    const [part] = this.layout();
    this.eye.setAspect(part.width / part.height);
    this.signs.forEach((signs, i) => {
      const { left, top, width: w, height: h } = this.layout()[i];
      Object.assign(signs.element.style, { left: `${left}px`, top: `${top}px`, width: `${w}px`, height: `${h}px` });
    });
    if (this.shownOnce) {
      this.draw();
      return;
    }
    this.shownOnce = true;
    this.eye.at(this.firstGaze());
    this.render(true);
    this.warmUp();
  }

  layout() {
    return sides(this.models.length, this.size.width, this.size.height);
  }

  /** Where a page begins: at what it explains, else the whole engine. */
  firstGaze() {
    const { mistake } = this.store.page;
    const model = this.models[this.models.length - 1];
    if (mistake?.at_mm && model) {
      const place = /** @type {Place} */ (/** @type {unknown} */ ({ a_mm: mistake.at_mm, b_mm: null, bodies: mistake.bodies }));
      const found = sightOf(model, place, mistake.crank_deg ?? this.store.state.crank_deg);
      if (found) return { ...found.gaze, distance: 2.4 * found.gaze.distance };
    }
    return this.wholeGaze();
  }

  wholeGaze() {
    const { state, variant } = this.store;
    const bore = variant.bores.find((one) => one.bore === state.bore) ?? variant.bores[0];
    const name = state.view.split('.')[0];
    const [azimuth, elevation] = directionOf(name, state.block === 'cut', bore.bank === 'right');
    return this.eye.fitted(this.reach(), azimuth, elevation, MARGIN);
  }

  /** Corners of all that is shown can ever fill, over a whole turn, in E. */
  reach() {
    /** @type {number[]} */
    const found = [];
    for (const model of this.models) found.push(...model.reach(TURN_STEP_DEG), ...signsReach(model));
    return Float32Array.from(found);
  }

  wishes() {
    const moved = () => this.move();
    const at = (/** @type {number} */ x, /** @type {number} */ y) => this.under(x, y);
    return {
      orbit: (/** @type {number} */ right, /** @type {number} */ up) => (this.eye.orbit(right, up), moved()),
      pan: (/** @type {number} */ right, /** @type {number} */ up) => (this.eye.pan(right, up), moved()),
      zoom: (/** @type {number} */ factor, /** @type {number} */ x, /** @type {number} */ y) => {
        const p = at(x, y);
        this.eye.zoom(factor, p.x, p.y);
        moved();
      },
      tap: (/** @type {number} */ x, /** @type {number} */ y) => {
        const body = this.hit(x, y)?.body ?? null;
        this.store.set({ picked: body?.name ?? null, ...(body?.bore == null ? {} : { bore: body.bore }), touched: true });
      },
      near: (/** @type {number} */ x, /** @type {number} */ y) => {
        const found = this.hit(x, y);
        if (!found) return this.fit();
        this.eye.fly({ ...this.eye.gaze, target: found.at, distance: Math.max(this.eye.gaze.distance * 0.45, 90) });
        return moved();
      },
      fit: () => this.fit(),
    };
  }

  /** The half under a point of the picture, and where in it: -1 to 1 across and up. @param {number} x @param {number} y */
  under(x, y) {
    const parts = this.layout();
    const which = Math.max(parts.findIndex((p) => x >= p.left && x < p.left + p.width && y >= p.top && y < p.top + p.height), 0);
    const { left, top, width, height } = parts[which];
    return { which, x: (2 * (x - left)) / width - 1, y: 1 - (2 * (y - top)) / height };
  }

  /** @param {number} px @param {number} py */
  hit(px, py) {
    const { which, x, y } = this.under(px, py);
    const { position } = this.eye.camera;
    return firstHit(this.models[which], this.store.state.crank_deg, [position.x, position.y, position.z], this.eye.ray(x, y));
  }

  /** Something moves: draw, quickly first, in full when it has come to rest. */
  move() {
    this.movedAt = performance.now();
    this.draw();
  }

  /** Ask for a frame; several asked for at once are one. */
  draw() {
    if (this.wanted) return;
    this.wanted = true;
    requestAnimationFrame((now) => this.frame(now));
  }

  /** @param {number} now */
  frame(now) {
    this.wanted = false;
    const flying = this.eye.step(now);
    const moving = flying || performance.now() - this.movedAt < STILL_MS;
    if (moving) this.pace.moved(now);
    this.render(moving);
    clearTimeout(this.timer);
    if (flying) this.move();
    else if (moving) this.timer = setTimeout(() => this.draw(), STILL_MS);
  }

  /** @param {'fine'|'coarse'} fineness */
  settle(fineness) {
    for (const model of this.models) {
      model.fineness = fineness;
      model.lines = fineness === 'fine' || this.pace.quality === 'fine' || this.movedAt + STILL_MS < performance.now();
    }
  }

  /** @param {boolean} moving */
  render(moving) {
    const { width, height } = this.size;
    if (!width || !this.models.length) return;
    const quick = moving && this.pace.quality === 'plain';
    this.settle(this.warm && !quick ? 'fine' : 'coarse');
    for (const model of this.models) {
      model.lines = !quick;
      model.refine();
    }
    const ratio = this.shownOnce && this.frames ? this.pace.ratio(moving || !this.warm, width * height) : 1;
    if (ratio !== this.size.ratio) {
      this.size.ratio = ratio;
      this.renderer.setPixelRatio(ratio);
      this.renderer.setSize(width, height, false);
    }
    turnStudio(this.eye.camera);
    this.renderer.setScissorTest(this.models.length > 1);
    this.renderer.info.reset();
    this.renderer.setScissor(0, 0, width, height);
    this.renderer.clear();
    this.layout().forEach(({ left, top, width: w, height: h }, i) => {
      this.renderer.setViewport(left, height - top - h, w, h);
      this.renderer.setScissor(left, height - top - h, w, h);
      this.renderer.render(this.models[i].scene, this.eye.camera);
      this.write(i, w, h);
    });
    this.frames += 1;
  }

  /** @param {number} i @param {number} width @param {number} height */
  write(i, width, height) {
    const { state, place, page } = this.store;
    const model = this.models[i];
    const words = this.models.length > 1 ? halfWords(page, model.variant) : '';
    const tone = halfTone(model.variant);
    const own = i === this.models.length - 1 ? place : null;
    this.signs[i].write(model, this.eye, state, { place: own, lit: place !== null || page.mistake !== null, words, tone, width, height });
  }

  /** Work out the full meshes one by one, so that hands are never kept waiting; then see how quick the machine is. */
  warmUp() {
    const { parts } = this;
    const solids = [...new Set(this.models.flatMap((model) => model.variant.bodies.map((body) => body.solid)))];
    const step = () => {
      if (parts !== this.parts) return;
      const solid = solids.pop();
      if (solid !== undefined) {
        parts.shaded(solid, 'fine');
        setTimeout(step, 0);
        return;
      }
      this.warm = true;
      if (this.pace.timed(this.timeOf())) this.again();
      this.draw();
    };
    setTimeout(step, 0);
  }

  /** How long a quick picture takes, the machine waited for, ms. */
  timeOf() {
    if (this.pace.asked) return 0;
    const gl = this.renderer.getContext();
    const since = performance.now();
    this.render(true);
    gl.readPixels(0, 0, 1, 1, gl.RGBA, gl.UNSIGNED_BYTE, new Uint8Array(4));
    return performance.now() - since;
  }
}
