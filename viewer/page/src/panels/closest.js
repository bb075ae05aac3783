import { element } from '../elements.js';
/** @import {Panel} from '../panels.js' */

/** @type {Panel} */
export const closestPanel = {
  id: 'closest',
  title: 'Closest',
  voices: ['builder', 'customer'],
  make({ store, journey }) {
    const list = element('ol', { class: 'places' });
    const fill = () =>
      list.replaceChildren(
        ...store.variant.places.slice(0, 12).map((place) =>
          element(
            'li',
            {},
            element(
              'button',
              {
                type: 'button',
                onclick: () => journey.goTo(place),
              },
              `${place.words}, bore ${place.bore}: ${place.value} (${place.limit}), ${place.verdict}`,
            ),
          ),
        ),
      );
    fill();
    return {
      element: list,
      update(_state, changed) {
        if (changed.has('shown')) fill();
      },
    };
  },
};
