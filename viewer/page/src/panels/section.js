import { element } from '../elements.js';
import { WORDS } from '../words.js';
import { verdict } from './verdict.js';
/** @import {Panel} from '../panels.js' */
/** @import {Drawing} from '../types.js' */

/** Chamfer over fillet of the chosen bore, in section. @type {Panel} */
export const sectionPanel = {
  id: 'section',
  title: 'Fillet',
  voices: ['builder'],
  make({ store }) {
    const room = element('div', { class: 'drawings' });
    const fill = () => {
      const { bore } = store.state;
      const found = store.variant.drawings.filter((one) => one.bore === bore || one.bore === null);
      room.replaceChildren(...(found.length ? found.flatMap(figureOf) : [element('p', { class: 'quiet' }, WORDS.noSection)]));
    };
    fill();
    return {
      element: room,
      update(_state, changed) {
        if (changed.has('bore') || changed.has('shown')) fill();
      },
    };
  },
};

/** @param {Drawing} drawing */
function figureOf(drawing) {
  const svg = document.importNode(new DOMParser().parseFromString(drawing.svg, 'image/svg+xml').documentElement, true);
  svg.setAttribute('role', 'img');
  svg.setAttribute('aria-label', [drawing.words, ...drawing.said].join(' '));
  const [first, ...rest] = drawing.said;
  return [
    element('h2', {}, `Bore ${drawing.bore}`),
    element('figure', {}, svg, element('figcaption', { class: 'quiet' }, drawing.words)),
    element('ol', { class: 'legend' }, ...drawing.legend.map((text) => element('li', {}, text))),
    element('p', {}, verdict(drawing.severity, first)),
    ...rest.map((text) => element('p', {}, text)),
  ];
}
