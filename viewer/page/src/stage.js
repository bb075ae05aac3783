import * as THREE from 'three';
import { meshOf } from './meshes.js';
import { poseOf } from './motion.js';
/** @import {State, Store} from './store.js' */

/** The engine in the picture: one node a moving frame, drawn only when something changes. */
export class Stage {
  /**
   * @param {Store} store
   * @param {ArrayBuffer} bytes
   */
  constructor(store, bytes) {
    this.store = store;
    this.bytes = bytes;
    this.element = document.createElement('canvas');
    this.element.className = 'stage';
    this.renderer = new THREE.WebGLRenderer({ canvas: this.element, antialias: true });
    this.scene = new THREE.Scene();
    this.scene.background = new THREE.Color(0xe9edf1);
    this.camera = new THREE.PerspectiveCamera(26, 1, 10, 10000);
    this.camera.up.set(0, 0, 1);
    this.scene.add(new THREE.HemisphereLight(0xffffff, 0x8890a0, 2.2));
    const key = new THREE.DirectionalLight(0xffffff, 2);
    key.position.set(-1, -1, 2);
    this.scene.add(key);
    /** @type {Map<string, THREE.Group>} */
    this.nodes = new Map();
    this.wanted = false;
    this.frames = 0;
    this.build();
    store.listen((state, changed) => this.changed(state, changed));
    new ResizeObserver(() => this.resize()).observe(this.element);
  }

  build() {
    const { page } = this.store;
    const variant = this.store.variant;
    const root = new THREE.Group();
    for (const frame of variant.frames) {
      const node = new THREE.Group();
      node.matrixAutoUpdate = false;
      this.nodes.set(frame.name, node);
      root.add(node);
    }
    /** @type {Map<number, THREE.BufferGeometry>} */
    const geometries = new Map();
    for (const body of variant.bodies) {
      const family = page.families.find((one) => one.name === body.group);
      if (family?.hidden) continue;
      let geometry = geometries.get(body.solid);
      if (!geometry) {
        const { points, triangles } = meshOf(this.bytes, page.solids[body.solid].fine);
        geometry = new THREE.BufferGeometry();
        geometry.setAttribute('position', new THREE.BufferAttribute(points, 3));
        geometry.setIndex(new THREE.BufferAttribute(triangles, 1));
        geometries.set(body.solid, geometry);
      }
      const look = page.looks[body.look] ?? page.looks.steel;
      const material = new THREE.MeshLambertMaterial({
        color: new THREE.Color().setRGB(look.colour[0], look.colour[1], look.colour[2], THREE.SRGBColorSpace),
        flatShading: true,
        transparent: family?.encloses ?? false,
        opacity: family?.encloses ? 0.12 : 1,
        depthWrite: !family?.encloses,
      });
      const mesh = new THREE.Mesh(geometry, material);
      mesh.matrixAutoUpdate = false;
      const p = body.pose;
      mesh.matrix.set(p[0], p[1], p[2], p[3], p[4], p[5], p[6], p[7], p[8], p[9], p[10], p[11], 0, 0, 0, 1);
      this.nodes.get(body.frame)?.add(mesh);
    }
    this.scene.add(root);
    const deck = variant.bores[0].deck_mm;
    const middle = variant.bores.reduce((sum, bore) => sum + bore.x_mm, 0) / variant.bores.length;
    this.camera.position.set(middle - 6 * deck * 0.8, -6 * deck * 0.66, 6 * deck * 0.5 + deck / 2);
    this.camera.lookAt(middle, 0, deck / 2);
    this.pose();
  }

  pose() {
    for (const frame of this.store.variant.frames) {
      const { x, y, z, turn } = poseOf(frame.law, this.store.state.crank_deg);
      const c = Math.cos(turn);
      const s = Math.sin(turn);
      this.nodes.get(frame.name)?.matrix.set(1, 0, 0, x, 0, c, -s, y, 0, s, c, z, 0, 0, 0, 1);
    }
    this.draw();
  }

  /**
   * @param {State} _state
   * @param {Set<keyof State>} changed
   */
  changed(_state, changed) {
    if (changed.has('crank_deg')) this.pose();
  }

  resize() {
    const { clientWidth: width, clientHeight: height } = this.element;
    if (!width || !height) return;
    this.renderer.setPixelRatio(Math.min(devicePixelRatio, 2));
    this.renderer.setSize(width, height, false);
    this.camera.aspect = width / height;
    this.camera.updateProjectionMatrix();
    this.draw();
  }

  /** Ask for a frame; several asked for at once are one. */
  draw() {
    if (this.wanted) return;
    this.wanted = true;
    requestAnimationFrame(() => {
      this.wanted = false;
      this.renderer.render(this.scene, this.camera);
      this.frames += 1;
    });
  }
}
