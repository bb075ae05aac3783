import { element } from '../elements.js';

/**
 * What other values change: viewer/serve/trying.py.
 * @typedef {object} TriedAnswer
 * @property {string[]} headings
 * @property {{cells: string[], severity: string, turn: string}[]} rows
 * @property {string} summary
 * @property {string[]} notes
 */

/** @param {TriedAnswer} answer @returns {Node[]} */
export function answerTable(answer) {
  const { headings, rows } = answer;
  const nodes = [element('p', { class: 'summary' }, answer.summary)];
  if (rows.length) {
    nodes.push(
      element(
        'div',
        { class: 'wide' },
        element(
          'table',
          {},
          element('thead', {}, element('tr', {}, ...headings.map((heading) => element('th', { scope: 'col' }, heading)))),
          element(
            'tbody',
            {},
            ...rows.map((row) =>
              element(
                'tr',
                { 'data-severity': row.severity, 'data-turn': row.turn },
                ...row.cells.map((cell, at) => element('td', { 'data-heading': headings[at] }, cell)),
              ),
            ),
          ),
        ),
      ),
    );
  }
  nodes.push(element('div', { class: 'notes' }, ...answer.notes.map((note) => element('p', {}, note))));
  return nodes;
}
