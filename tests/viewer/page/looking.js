/* What can be measured of how a page stands on the screen. Each gives a list of sentences, empty where all is well. */
window.looking = (() => {
  const TEXT_SHRINK = 0.18; // of a line's height at either side: letters do not fill it
  const words = (node) => JSON.stringify(node.textContent.trim().replace(/\s+/g, ' ').slice(0, 50));
  const named = (element) =>
    `${element.tagName.toLowerCase()}${element.id ? `#${element.id}` : ''}${[...element.classList].map((one) => `.${one}`).join('')}`;
  const box = (element) => {
    const { left, top, right, bottom } = element.getBoundingClientRect();
    return { left, top, right, bottom };
  };
  const common = (a, b) => ({
    left: Math.max(a.left, b.left), top: Math.max(a.top, b.top),
    right: Math.min(a.right, b.right), bottom: Math.min(a.bottom, b.bottom),
  });
  const filled = (r) => r.right - r.left > 1 && r.bottom - r.top > 1;
  /* Words for who listens are a point in size; the way past everything stands beside the screen until it has the focus. */
  const spoken = (element) => {
    for (let one = element; one; one = one.parentElement) {
      if ((one.offsetWidth <= 1 && one.offsetHeight <= 1 && getComputedStyle(one).overflow !== 'visible') || one.matches('.skip:not(:focus)')) return true;
    }
    return false;
  };
  const seen = (element) =>
    element.checkVisibility({ opacityProperty: true, visibilityProperty: true, contentVisibilityAuto: true }) && !spoken(element);

  /* What of a rectangle its ancestors let through, and what they cut off where nothing scrolls. */
  const through = (rect, element) => {
    let left = rect;
    let cut = null;
    for (let one = element; one && one !== document.documentElement; one = one.parentElement) {
      const style = getComputedStyle(one);
      if (style.display === 'contents' || style.display === 'inline') continue;
      const edge = box(one);
      for (const [flow, low, high] of [[style.overflowX, 'left', 'right'], [style.overflowY, 'top', 'bottom']]) {
        if (flow === 'visible') continue;
        const out = Math.max(edge[low] - left[low], left[high] - edge[high]);
        if (out > 2 && (flow === 'hidden' || flow === 'clip')) cut ??= `${Math.round(out)} px by ${named(one)}`;
        left = { ...left, [low]: Math.max(left[low], edge[low]), [high]: Math.min(left[high], edge[high]) };
      }
      if (style.position === 'fixed') break;
    }
    const root = document.scrollingElement;
    const scrolls = root.scrollHeight > root.clientHeight + 1;
    const screen = { left: 0, top: scrolls ? -1e6 : 0, right: innerWidth, bottom: scrolls ? 1e6 : innerHeight };
    if (filled(left)) {
      const out = Math.max(left.right - screen.right, screen.left - left.left, left.bottom - screen.bottom, screen.top - left.top);
      if (out > 2) cut ??= `${Math.round(out)} px by the screen`;
    }
    return { rect: common(left, screen), cut };
  };

  const texts = () => {
    const found = [];
    const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    const range = document.createRange();
    const open = document.querySelector('dialog[open]');
    for (let node = walk.nextNode(); node; node = walk.nextNode()) {
      const parent = node.parentElement;
      if (!node.textContent.trim() || !parent || parent.closest('script, style, option, template, title, desc') || !seen(parent)) continue;
      if (open && !open.contains(parent)) continue;
      range.selectNodeContents(node);
      for (const part of range.getClientRects()) {
        const { rect, cut } = through(part, parent);
        found.push({ node, parent, rect, cut });
      }
    }
    return found;
  };

  const cut = () => {
    const found = texts().filter((one) => one.cut).map((one) => `${words(one.node)} in ${named(one.parent)} is cut off, ${one.cut}`);
    for (const field of document.querySelectorAll('input, select')) {
      if (seen(field) && field.scrollWidth > field.clientWidth + 1) found.push(`what ${named(field)} holds is cut off`);
    }
    return [...new Set(found)];
  };

  const overlaps = () => {
    const shown = texts().filter((one) => filled(one.rect)).map((one) => {
      const high = one.rect.bottom - one.rect.top;
      return { ...one, rect: { ...one.rect, top: one.rect.top + TEXT_SHRINK * high, bottom: one.rect.bottom - TEXT_SHRINK * high } };
    }).sort((a, b) => a.rect.top - b.rect.top);
    const found = [];
    shown.forEach((one, i) => {
      for (let k = i + 1; k < shown.length && shown[k].rect.top < one.rect.bottom; k += 1) {
        const other = shown[k];
        if (other.node !== one.node && filled(common(one.rect, other.rect))) {
          found.push(`${words(one.node)} in ${named(one.parent)} lies over ${words(other.node)} in ${named(other.parent)}`);
        }
      }
    });
    return [...new Set(found)];
  };

  const sideways = () => {
    const root = document.scrollingElement;
    const found = root.scrollWidth > root.clientWidth ? [`the page is ${root.scrollWidth - root.clientWidth} px wider than the screen`] : [];
    for (const room of document.querySelectorAll('.panel')) {
      if (seen(room) && room.scrollWidth > room.clientWidth + 1) found.push(`${named(room)} scrolls sideways by ${room.scrollWidth - room.clientWidth} px`);
    }
    return found;
  };

  /* Words in a line of text are let off, as WCAG 2.5.8 does. */
  const targets = (least) => {
    const found = [];
    for (const one of document.querySelectorAll('button, a[href], input, select, summary, textarea')) {
      const style = getComputedStyle(one);
      if (!one.checkVisibility({ visibilityProperty: true }) || spoken(one) || one.disabled || style.display === 'inline') continue;
      if (one.matches('p *, li > :not(:only-child)') && one.parentElement.textContent.trim() !== one.textContent.trim()) continue;
      const label = one.matches('[type=checkbox], [type=radio]') ? one.labels?.[0] : null;
      const { left, top, right, bottom } = box(label ?? one);
      if (right - left < least - 0.5 || bottom - top < least - 0.5) {
        found.push(`${named(one)} ${words(one)} is ${Math.round(right - left)} x ${Math.round(bottom - top)} px`);
      }
    }
    return [...new Set(found)];
  };

  /* Of what has the focus: whether it is marked, and whether any of it is to be seen. */
  const focused = () => {
    const one = document.activeElement;
    if (!one || one === document.body) return null;
    const marks = [one, one.nextElementSibling].filter(Boolean).map((each) => getComputedStyle(each));
    const marked = marks.some((style) => style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) >= 2);
    const { rect } = through(box(one), one);
    const on = common(rect, { left: 0, top: 0, right: innerWidth, bottom: innerHeight });
    const top = filled(on) ? document.elementFromPoint((on.left + on.right) / 2, (on.top + on.bottom) / 2) : null;
    const label = one.getAttribute('aria-label') ?? (one.labels?.[0] ?? one).textContent.trim();
    return { what: `${named(one)} ${JSON.stringify(label.slice(0, 40))}`, marked, inView: filled(on), covered: !!top && !one.contains(top) && !top.contains(one) && top !== one.nextElementSibling };
  };

  return { cut, overlaps, sideways, targets, focused };
})();
