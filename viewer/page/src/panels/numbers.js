import { element } from '../elements.js';
import { WORDS } from '../words.js';
import { verdict } from './verdict.js';
/** @import {Panel} from '../panels.js' */
/** @import {Finding, Row, Section} from '../types.js' */

/** Every number of the check: findings with their remedies first, then every table with its limits and sources. @type {Panel} */
export const numbersPanel = {
  id: 'numbers',
  title: 'Numbers',
  voices: ['builder'],
  make({ store }) {
    const search = element('input', { type: 'search', class: 'search', placeholder: WORDS.search, 'aria-label': WORDS.search, oninput: () => sift() });
    const only = element('input', { type: 'checkbox', onchange: () => sift() });
    const onlyWords = element('span');
    const count = element('p', { class: 'quiet', role: 'status' });
    const room = element('div', { class: 'all-numbers' });
    /** @type {{element: HTMLElement, text: string, bores: number[]}[]} */
    let lines = [];
    const fill = () => {
      lines = [];
      const { sections } = store.variant;
      const findings = sections.flatMap((section) => section.findings);
      const order = ['stop', 'look', 'note'];
      findings.sort((a, b) => order.indexOf(a.severity) - order.indexOf(b.severity));
      room.replaceChildren(
        ...(findings.length ? [element('ul', { class: 'findings' }, ...findings.map((one, i) => findingOf(one, findings.findIndex((other) => other.remedy === one.remedy) < i, lines)))] : []),
        ...sections.filter((section) => section.rows.length).map((section) => sectionOf(section, lines)),
      );
      sift();
    };
    const sift = () => {
      onlyWords.textContent = `Bore ${store.state.bore} only`;
      const wanted = search.value.trim().toLowerCase();
      let seen = 0;
      for (const line of lines) {
        const mine = !only.checked || !line.bores.length || line.bores.includes(store.state.bore);
        line.element.hidden = !(mine && line.text.includes(wanted));
        if (!line.element.hidden) seen += 1;
      }
      room.querySelectorAll('section').forEach((one) => {
        one.hidden = Boolean(wanted || only.checked) && !one.querySelector('[data-line]:not([hidden])');
      });
      count.textContent = wanted || only.checked ? `${seen} of ${lines.length} lines` : '';
    };
    fill();
    return {
      element: element('div', {}, element('div', { class: 'sift' }, search, element('label', { class: 'tick' }, only, onlyWords)), count, room),
      update(_state, changed) {
        if (changed.has('shown')) fill();
        else if (changed.has('bore')) sift();
      },
    };
  },
};

/** @typedef {{element: HTMLElement, text: string, bores: number[]}[]} Lines */

/**
 * @param {Finding} finding
 * @param {boolean} again the same remedy has just been read
 * @param {Lines} lines
 */
function findingOf(finding, again, lines) {
  const where = finding.bore === null ? '' : `Bore ${finding.bore}: `;
  const words = { stop: 'STOP', look: 'LOOK', note: 'note' }[finding.severity];
  const made = element(
    'li',
    { class: 'finding', 'data-severity': finding.severity, 'data-line': true },
    element('p', {}, verdict(finding.severity, words), ` ${where}${finding.text}`),
    ...(finding.remedy ? [element('p', { class: 'remedy' }, element('strong', {}, WORDS.remedy), ` ${again ? WORDS.asAbove : finding.remedy}`)] : []),
  );
  lines.push({ element: made, text: `${where}${finding.text} ${finding.remedy}`.toLowerCase(), bores: finding.bore === null ? [] : [finding.bore] });
  return made;
}

/**
 * @param {Section} section
 * @param {Lines} lines
 */
function sectionOf(section, lines) {
  const notes = section.notes.length
    ? [element('details', { class: 'notes' }, element('summary', {}, WORDS.notes), ...section.notes.map((note) => element('p', {}, note)))]
    : [];
  const more = section.more.length > section.rows.length ? [element('details', { class: 'more' }, element('summary', {}, `All ${section.more.length} rows`), tableOf(section, section.more, lines))] : [];
  const body = section.single ? listOf(section, lines) : tableOf(section, section.rows, lines);
  return element('section', { class: 'answers' }, element('h2', {}, section.title), body, ...more, ...notes);
}

/**
 * @param {Section} section
 * @param {Lines} lines
 */
function listOf(section, lines) {
  const [row] = section.rows;
  return element(
    'dl',
    { class: 'single' },
    ...section.headings.map((heading, i) => {
      const pair = element('div', { 'data-line': true }, element('dt', {}, heading), element('dd', {}, row.cells[i]));
      lines.push({ element: pair, text: `${section.title} ${heading} ${row.cells[i]}`.toLowerCase(), bores: [] });
      return pair;
    }),
  );
}

/**
 * @param {Section} section
 * @param {Row[]} rows
 * @param {Lines} lines
 */
function tableOf(section, rows, lines) {
  const told = section.headings.findIndex((heading) => heading === 'verdict' || heading === 'goes in');
  const body = rows.map((row) => {
    const made = element(
      'tr',
      { 'data-severity': row.severity, 'data-line': true, role: 'row' },
      ...row.cells.map((cell, i) =>
        element('td', { 'data-heading': section.headings[i], role: 'cell' }, i === told && row.severity && cell !== '-' ? verdict(row.severity, cell) : cell),
      ),
    );
    lines.push({ element: made, text: `${section.title} ${row.cells.join(' ')}`.toLowerCase(), bores: row.bores });
    return made;
  });
  // The roles hold where a phone shows each row as a card and the browser would forget the table.
  return element(
    'div',
    { class: 'wide', tabindex: 0, role: 'region', 'aria-label': section.title },
    element(
      'table',
      { role: 'table' },
      element('thead', { role: 'rowgroup' }, element('tr', { role: 'row' }, ...section.headings.map((heading) => element('th', { scope: 'col', role: 'columnheader' }, heading)))),
      element('tbody', { role: 'rowgroup' }, ...body),
    ),
  );
}
