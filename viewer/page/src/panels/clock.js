import { element } from '../elements.js';
import { WORDS } from '../words.js';
import { clockFace, ringMark } from './face.js';
import { verdict } from './verdict.js';
/** @import {Panel} from '../panels.js' */
/** @import {Clock, RingMark} from '../types.js' */

/** The ring clock of the chosen bore: seen from above the crown, front up. @type {Panel} */
export const clockPanel = {
  id: 'clock',
  title: 'Ring clock',
  voices: ['builder', 'customer'],
  make({ store }) {
    const room = element('div', { class: 'clock' });
    const fill = () => {
      const { bore } = store.state;
      const clock = store.variant.clocks.find((one) => one.bores.includes(bore));
      room.replaceChildren(...(clock ? clockParts(clock, bore) : [element('p', { class: 'quiet' }, WORDS.noClock)]));
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

/**
 * @param {Clock} clock
 * @param {number} bore
 * @returns {HTMLElement[]}
 */
function clockParts(clock, bore) {
  const others = clock.bores.filter((one) => one !== bore);
  const [first, ...rest] = clock.said;
  return [
    element('h2', {}, `Bore ${bore}${clock.turned ? ', PISTON TURNED ROUND' : ''}`),
    ...(others.length ? [element('p', { class: 'quiet' }, `The same in bore ${others.join(', ')}.`)] : []),
    element('figure', {}, clockFace(clock), element('figcaption', { class: 'quiet' }, WORDS.clockSeen)),
    element('p', {}, verdict(clock.severity, first)),
    ...rest.map((text) => element('p', {}, text)),
    element('ul', { class: 'rings' }, ...clock.rings.map(ringLine)),
    element('p', { class: 'source' }, clock.scheme),
  ];
}

/** @param {RingMark} mark */
function ringLine(mark) {
  const gap = [mark.gap && `gap ${mark.gap}`, mark.limit].filter(Boolean).join(', ');
  return element(
    'li',
    { class: 'ring', 'data-severity': mark.severity },
    ringMark(mark.ring),
    element(
      'div',
      {},
      element('p', { class: 'upper' }, element('span', { class: 'what' }, mark.words), element('strong', { class: 'value' }, `${mark.degrees} (${mark.hour})`)),
      element('p', {}, gap ? `${gap}: ` : '', verdict(mark.severity, mark.verdict)),
      element('p', { class: 'limit' }, mark.way_up),
      ...(mark.source ? [element('p', { class: 'source' }, mark.source)] : []),
    ),
  );
}
