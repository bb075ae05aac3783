import { element } from './elements.js';
import { SIGNS, WORDS } from './words.js';
/** @import {Store} from './store.js' */
/** @import {Mistake, Verdict} from './types.js' */

/**
 * The engine's name, whose job it is, and how all of it stands.
 * @param {Store} store
 * @returns {HTMLElement}
 */
export function pageHead(store) {
  const name = element('h1');
  const about = element('p', { class: 'about' });
  const badge = element('p', { class: 'badge' });
  const assumed = element('p', { class: 'assumed' });
  const fill = () => {
    const { page, variant } = store;
    name.textContent = page.title;
    const named = (page.variants.length > 1 || page.live) && !page.mistake;
    about.textContent = [page.shop, page.job, page.date, named ? variant.words : ''].filter(Boolean).join(' · ');
    const { severity, words, said } = page.mistake ? onShow(page.mistake) : variant.verdict;
    badge.dataset.severity = severity;
    badge.replaceChildren(element('span', { class: 'verdict-sign', 'aria-hidden': 'true' }, SIGNS[severity]), element('strong', {}, words));
    assumed.textContent = [said, page.assumed].filter(Boolean).join(' · ');
  };
  fill();
  store.listen((_state, changed) => {
    if (changed.has('shown')) fill();
  });
  return element('header', { class: 'head' }, element('div', { class: 'who' }, name, about), element('div', { class: 'stands' }, badge, assumed));
}

/**
 * A page that explains a mistake says so where others say how all stands: the distances alone do not tell a mistake.
 * @param {Mistake} mistake
 * @returns {Verdict}
 */
function onShow(mistake) {
  return { severity: 'look', words: `${WORDS.onShow}: ${mistake.title.charAt(0).toLowerCase()}${mistake.title.slice(1)}`, said: '' };
}
