import { element } from '../elements.js';

const INITIALS = 'fullturn:by';

/** The initials that were given on this machine before, empty where none were or the browser keeps nothing. */
export function initialsKept() {
  try {
    return localStorage.getItem(INITIALS) ?? '';
  } catch {
    return '';
  }
}

/**
 * Asks once who is measuring.
 * @param {string} before
 * @param {(by: string) => void} given
 * @returns {HTMLFormElement}
 */
export function initialsAsked(before, given) {
  const input = element('input', { id: 'initials', type: 'text', maxlength: 12, autocomplete: 'off', autocapitalize: 'characters', spellcheck: 'false' });
  input.value = before;
  return element(
    'form',
    {
      class: 'initials',
      onsubmit: (event) => {
        event.preventDefault();
        const by = input.value.trim();
        if (!by) return input.focus();
        try {
          localStorage.setItem(INITIALS, by);
        } catch {
          /* then they are asked for again when the page is opened anew */
        }
        given(by);
      },
    },
    element('label', { for: 'initials' }, 'Who is measuring? Your initials stand beside every reading.'),
    element('div', { class: 'reading-buttons' }, input, element('button', { type: 'submit', class: 'primary' }, 'That is me')),
  );
}
