import { element } from './elements.js';
import { paced } from './paced.js';
import { WORDS } from './words.js';
/** @import {Context, Panel} from './panels.js' */
/** @import {State} from './store.js' */

/**
 * The panels beside the picture, one at a time. A panel that is not seen is told what changed when it is seen again.
 * @param {Panel[]} panels
 * @param {Context} context
 * @returns {HTMLElement}
 */
export function sidePanels(panels, context) {
  const { store } = context;
  const made = panels.map((panel) => {
    const body = panel.make(context);
    const tab = element(
      'button',
      { type: 'button', role: 'tab', id: `tab-${panel.id}`, 'aria-controls': `panel-${panel.id}`, onclick: () => store.set({ panel: panel.id }) },
      panel.title,
    );
    const room = element('div', { class: 'panel', role: 'tabpanel', id: `panel-${panel.id}`, 'aria-labelledby': tab.id, tabindex: 0 }, body.element);
    return { panel, body, tab, room, missed: /** @type {Set<keyof State>} */ (new Set()) };
  });
  const list = element('div', { class: 'tabs', role: 'tablist', 'aria-label': WORDS.side }, ...made.map((one) => one.tab));
  list.addEventListener('keydown', (event) => {
    const at = made.findIndex((one) => one.tab === document.activeElement);
    const steps = { ArrowRight: 1, ArrowLeft: -1, Home: -at, End: made.length - 1 - at };
    const step = steps[/** @type {keyof typeof steps} */ (event.key)];
    if (at < 0 || step === undefined) return;
    event.preventDefault();
    event.stopPropagation();
    const next = made[(at + step + made.length) % made.length];
    store.set({ panel: next.panel.id });
    next.tab.focus();
  });
  const show = (/** @type {State} */ state) => {
    const chosen = made.find((one) => one.panel.id === state.panel) ?? made[0];
    for (const one of made) {
      const seen = one === chosen;
      one.tab.setAttribute('aria-selected', String(seen));
      one.tab.tabIndex = seen ? 0 : -1;
      one.room.hidden = !seen;
      if (seen && one.missed.size) {
        const missed = one.missed;
        one.missed = new Set();
        one.body.update?.(state, missed);
      }
    }
    if (chosen) list.scrollLeft = chosen.tab.offsetLeft - (list.clientWidth - chosen.tab.offsetWidth) / 2;
  };
  store.listen(paced(store, (state, changed) => {
    for (const one of made) changed.forEach((key) => one.missed.add(key));
    const chosen = made.find((one) => one.panel.id === state.panel) ?? made[0];
    if (changed.has('panel')) {
      show(state);
    } else if (chosen) {
      const missed = chosen.missed;
      chosen.missed = new Set();
      chosen.body.update?.(state, missed);
    }
  }));
  show(store.state);
  return element('section', { class: 'side', id: 'side', 'aria-label': WORDS.side }, list, ...made.map((one) => one.room));
}
