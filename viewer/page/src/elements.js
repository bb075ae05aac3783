/**
 * An element with attributes, listeners (`onclick` ..) and children.
 * @template {keyof HTMLElementTagNameMap} K
 * @param {K} tag
 * @param {Record<string, string|number|boolean|null|((event: any) => void)>} [attributes]
 * @param {...(Node|string)} children
 * @returns {HTMLElementTagNameMap[K]}
 */
export function element(tag, attributes = {}, ...children) {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (typeof value === 'function') made.addEventListener(name.slice(2), value);
    else if (value === true) made.setAttribute(name, '');
    else if (value !== false && value !== null) made.setAttribute(name, String(value));
  }
  made.append(...children);
  return made;
}

/**
 * The same in SVG.
 * @param {string} tag
 * @param {Record<string, string|number>} [attributes]
 * @param {...(Node|string)} children
 * @returns {SVGElement}
 */
export function drawn(tag, attributes = {}, ...children) {
  const made = document.createElementNS('http://www.w3.org/2000/svg', tag);
  for (const [name, value] of Object.entries(attributes)) made.setAttribute(name, String(value));
  made.append(...children);
  return made;
}
