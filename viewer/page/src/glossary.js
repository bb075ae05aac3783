import { element } from './elements.js';

const TERM_IN_TEXT = /\[\[(.+?)\]\]/;

/** Text with its terms of the trade: told where one stands for the first time, a tap away from then on. */
export class Terms {
  /** @param {Object<string, string>} glossary what each means, in small letters */
  constructor(glossary) {
    this.glossary = glossary;
    /** @type {Set<string>} */
    this.told = new Set();
  }

  /**
   * @param {string} text terms stand in [[ ]]
   * @returns {(Node|string)[]}
   */
  nodes(text) {
    /** @type {Set<string>} */
    const here = new Set();
    return text.split(TERM_IN_TEXT).flatMap((part, at) => this.one(part, at % 2 === 1, here));
  }

  /**
   * @param {string} part
   * @param {boolean} term
   * @param {Set<string>} here what is a tap away in this text already
   * @returns {(Node|string)[]}
   */
  one(part, term, here) {
    const meaning = term ? this.glossary[part.toLowerCase()] : undefined;
    if (!meaning || here.has(meaning)) return [part];
    here.add(meaning);
    if (this.told.has(meaning)) return tappedTerm(part, meaning);
    this.told.add(meaning);
    return [element('dfn', {}, part), element('span', { class: 'meaning' }, ` (${meaning})`)];
  }

  /** A paragraph of it. @param {string} text */
  paragraph(text) {
    return element('p', {}, ...this.nodes(text));
  }
}

/**
 * @param {string} word
 * @param {string} meaning
 */
function tappedTerm(word, meaning) {
  const said = element('span', { class: 'meaning', hidden: true }, ` (${meaning})`);
  const button = element(
    'button',
    {
      type: 'button', class: 'term', 'aria-expanded': 'false',
      onclick: () => {
        said.hidden = !said.hidden;
        button.setAttribute('aria-expanded', String(!said.hidden));
      },
    },
    word,
  );
  return [button, said];
}
