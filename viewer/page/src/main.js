import { element } from './elements.js';
import { Live } from './live/live.js';
import { unpacked } from './meshes.js';
import { PANELS } from './panels.js';
import { Stage } from './stage.js';
import { Store, firstState } from './store.js';
/** @import {Page} from './types.js' */

/** What tests and the curious may ask: the store, the stage, and whether the first picture is there. */
const asked = /** @type {any} */ (window);

async function start() {
  const text = (/** @type {string} */ id) => document.getElementById(id)?.textContent ?? '';
  /** @type {Page} */
  const page = JSON.parse(text('page'));
  const store = new Store(page, firstState(page));
  const stage = new Stage(store, await unpacked(text('solids')));
  const slider = element('input', {
    type: 'range', min: 0, max: store.variant.cycle_deg, step: 0.5, value: 0, 'aria-label': 'Crank angle, degrees',
    oninput: (event) => store.set({ crank_deg: Number(event.target.value), touched: true }),
  });
  const app = /** @type {HTMLElement} */ (document.getElementById('app'));
  const live = page.live ? new Live(store, stage, app.dataset.version ?? '') : null;
  const panels = PANELS.filter((panel) => panel.voices.includes(page.voice) && (!panel.live || page.live));
  const made = panels.map((panel) => panel.make({ store, stage, live }));
  app.replaceChildren(
    element('header', {}, element('h1', {}, page.title)),
    ...(live ? [live.element] : []),
    element('main', {}, stage.element, slider, ...made.map((panel) => panel.element)),
  );
  store.listen((state, changed) => made.forEach((panel) => panel.update?.(state, changed)));
  stage.resize();
  asked.fullturn = { store, stage, live, ready: true };
}

start();
