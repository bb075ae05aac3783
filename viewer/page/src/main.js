import { autoplay } from './autoplay.js';
import { crankBar } from './crank.js';
import { element } from './elements.js';
import { fallback } from './fallback.js';
import { pageHead } from './head.js';
import { Journey } from './journey.js';
import { keysDialog } from './keys.js';
import { Live } from './live/live.js';
import { unpacked } from './meshes.js';
import { PANELS } from './panels.js';
import { playing } from './player.js';
import { spoken } from './spoken.js';
import { Stage } from './stage.js';
import { Store, firstState } from './store.js';
import { sidePanels } from './tabs.js';
import { toolRow } from './tools.js';
import { WORDS } from './words.js';
/** @import {Page} from './types.js' */

/** What tests and the curious may ask: the store, the stage, and whether the first picture is there. */
const asked = /** @type {any} */ (window);

async function start() {
  const text = (/** @type {string} */ id) => document.getElementById(id)?.textContent ?? '';
  /** @type {Page} */
  const page = JSON.parse(new TextDecoder().decode(await unpacked(text('page'))));
  const store = new Store(page, firstState(page));
  const stage = stageOf(store, await unpacked(text('solids')));
  const journey = new Journey(store, stage);
  const app = /** @type {HTMLElement} */ (document.getElementById('app'));
  const live = page.live ? new Live(store, stage, app.dataset.version ?? '') : null;
  const panels = PANELS.filter((panel) => panel.voices.includes(page.voice) && (!panel.live || page.live) && (panel.when?.(page) ?? true));
  const keys = keysDialog(store, journey);
  app.replaceChildren(
    element('a', { class: 'skip', href: '#side' }, WORDS.skip),
    pageHead(store),
    ...(live ? [live.element] : []),
    element(
      'main',
      { class: 'main' },
      element(
        'section',
        { class: 'picture', 'aria-label': WORDS.picture },
        toolRow(store, journey),
        element('div', { class: 'stage-room' }, ...(stage ? [stage.element, autoplay(store)] : [fallback(store)])),
        crankBar(store, journey),
      ),
      sidePanels(panels, { store, stage, live, journey }),
    ),
    element(
      'footer',
      { class: 'foot' },
      element('p', {}, page.cautions.join(' ')),
      element('button', { type: 'button', class: 'quiet', onclick: () => keys.showModal() }, `${WORDS.keys} (?)`),
    ),
    spoken(store),
    keys,
  );
  playing(store);
  stage?.resize();
  asked.fullturn = { store, stage, live, journey, ready: true };
  app.dataset.ready = '';
}

/**
 * The picture, where the browser can draw one.
 * @param {Store} store
 * @param {ArrayBuffer} bytes
 * @returns {Stage|null}
 */
function stageOf(store, bytes) {
  try {
    return new Stage(store, bytes);
  } catch {
    return null;
  }
}

start().catch((error) => {
  document.documentElement.classList.remove('scripted'); // what is written for where no script runs is shown instead
  throw error;
});
