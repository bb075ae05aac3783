import { element } from '../elements.js';
import { WORDS } from '../words.js';
import { verdict } from './verdict.js';
/** @import {Journey} from '../journey.js' */
/** @import {Panel} from '../panels.js' */
/** @import {Place} from '../types.js' */

/** Where to look, the worst first: like places of several bores in one line, each bore a tap away. @type {Panel} */
export const closestPanel = {
  id: 'closest',
  title: 'Where to look',
  voices: ['builder', 'customer'],
  make({ store, journey }) {
    const list = element('ol', { class: 'places' });
    const back = element('button', { type: 'button', onclick: () => journey.back() }, WORDS.back);
    /** @type {{ids: string[], show: (chosen: string|null) => void}[]} */
    let lines = [];
    const fill = () => {
      lines = linesOf(store.variant.places).map((alike) => lineOf(alike, journey));
      const items = lines.map((line) => /** @type {any} */ (line).element);
      list.replaceChildren(...(items.length ? items : [element('li', { class: 'quiet' }, WORDS.nothingClose)]));
      show();
    };
    const show = () => {
      lines.forEach((line) => line.show(store.state.place));
      back.disabled = journey.past.length === 0;
    };
    fill();
    return {
      element: element(
        'div',
        {},
        element(
          'div',
          { class: 'panel-head' },
          element('h2', {}, WORDS.worstFirst),
          element('span', { class: 'panel-hands' }, element('button', { type: 'button', onclick: () => journey.next(1) }, WORDS.next), back),
        ),
        list,
      ),
      update(_state, changed) {
        if (changed.has('shown')) fill();
        else if (changed.has('place') || changed.has('crank_deg')) show();
      },
    };
  },
};

/**
 * Like places together, each line where its worst stands.
 * @param {Place[]} places the worst first
 * @returns {Place[][]}
 */
export function linesOf(places) {
  /** @type {Map<string, Place[]>} */
  const lines = new Map();
  for (const place of places) {
    const key = `${place.kind} ${place.group}`;
    const line = lines.get(key);
    if (line) line.push(place);
    else lines.set(key, [place]);
  }
  return [...lines.values()];
}

/**
 * @param {Place[]} alike
 * @param {Journey} journey
 */
function lineOf(alike, journey) {
  const what = element('span', { class: 'what' });
  const value = element('strong', { class: 'value' });
  const stands = element('span');
  const limit = element('span', { class: 'limit' });
  const source = element('span', { class: 'source' });
  let seen = alike[0];
  const go = element('button', { type: 'button', class: 'place', onclick: () => journey.goTo(seen) },
    element('span', { class: 'upper' }, what, value, stands), limit, source);
  const chips = alike.length < 2 ? [] : alike.map((place) =>
    element('button', { type: 'button', class: 'chip', 'data-severity': place.severity, 'aria-label': `${place.words}, ${whereOf(place)}: ${place.value} ${place.verdict}`, onclick: () => journey.goTo(place) },
      element('span', { 'aria-hidden': 'true' }, place.bore === null ? shortOf(place) : String(place.bore))),
  );
  const made = element('li', { class: 'alike' }, go, ...(chips.length ? [element('div', { class: 'chips' }, element('span', { class: 'quiet' }, WORDS.inBores), ...chips)] : []));
  const show = (/** @type {string|null} */ chosen) => {
    seen = alike.find((place) => place.id === chosen) ?? alike[0];
    const mine = seen.id === chosen;
    made.dataset.severity = seen.severity;
    made.classList.toggle('chosen', mine);
    go.setAttribute('aria-current', String(mine));
    what.textContent = [seen.words, whereOf(seen)].filter(Boolean).join(', ');
    value.textContent = seen.value;
    stands.replaceChildren(verdict(seen.severity, seen.verdict));
    limit.textContent = seen.limit;
    source.textContent = seen.source;
    chips.forEach((chip, i) => chip.setAttribute('aria-pressed', String(alike[i].id === chosen)));
  };
  return { element: made, ids: alike.map((place) => place.id), show };
}

/** @param {Place} place */
function whereOf(place) {
  return place.bore === null ? '' : `bore ${place.bore}`;
}

/** What tells a place without a bore from its like: the numbers in its parts. @param {Place} place */
function shortOf(place) {
  return place.words.match(/\d+/)?.[0] ?? place.bodies.join(' ').match(/\d+/)?.[0] ?? '·';
}
