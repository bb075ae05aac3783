/**
 * What hands do to the picture: turn, shift, go nearer, tap; by mouse, touch and keyboard.
 * @typedef {object} Wishes
 * @property {(right: number, up: number) => void} orbit degrees
 * @property {(right: number, up: number) => void} pan shares of the picture's height
 * @property {(factor: number, x: number, y: number) => void} zoom about a point, px from the upper left
 * @property {(x: number, y: number, touch: boolean) => void} tap px from the upper left
 * @property {(x: number, y: number) => void} near px from the upper left
 * @property {() => void} fit
 */

const DEG_PX = 0.35;
const TAP_PX = { mouse: 4, pen: 6, touch: 10 };
const TAP_MS = 450;
const TWICE_MS = 350;
const KEY_DEG = 6;

/** @typedef {{x: number, y: number}} Spot */

/**
 * @param {HTMLElement} canvas
 * @param {Wishes} wishes
 */
export function hands(canvas, wishes) {
  /** @type {Map<number, Spot>} */
  const down = new Map();
  /** @type {{x: number, y: number, at: number, still: boolean}|null} */
  let first = null;
  let last = { at: -1e9, x: 0, y: 0 };
  const spotOf = (/** @type {MouseEvent} */ event) => {
    const box = canvas.getBoundingClientRect();
    return { x: event.clientX - box.left, y: event.clientY - box.top };
  };
  const kind = (/** @type {PointerEvent} */ event) => TAP_PX[/** @type {'mouse'} */ (event.pointerType)] ?? TAP_PX.touch;
  canvas.addEventListener('pointerdown', (event) => {
    canvas.setPointerCapture(event.pointerId);
    down.set(event.pointerId, spotOf(event));
    first = down.size === 1 ? { ...spotOf(event), at: event.timeStamp, still: true } : null;
  });
  canvas.addEventListener('pointermove', (event) => {
    const before = down.get(event.pointerId);
    if (!before) return;
    const now = spotOf(event);
    if (first?.still && Math.hypot(now.x - first.x, now.y - first.y) <= kind(event)) return;
    if (first) first.still = false;
    down.set(event.pointerId, now);
    const other = [...down].find(([id]) => id !== event.pointerId)?.[1];
    if (other) pinched(canvas, wishes, before, now, other);
    else moved(canvas, wishes, event, before, now);
  });
  const up = (/** @type {PointerEvent} */ event) => {
    down.delete(event.pointerId);
    if (!first?.still || event.type === 'pointercancel' || event.timeStamp - first.at > TAP_MS) return;
    const spot = spotOf(event);
    const twice = event.timeStamp - last.at < TWICE_MS && Math.hypot(spot.x - last.x, spot.y - last.y) < 24;
    if (twice) wishes.near(spot.x, spot.y);
    else wishes.tap(spot.x, spot.y, event.pointerType !== 'mouse');
    last = { at: twice ? -1e9 : event.timeStamp, ...spot };
    first = null;
  };
  canvas.addEventListener('pointerup', up);
  canvas.addEventListener('pointercancel', up);
  canvas.addEventListener('contextmenu', (event) => event.preventDefault());
  canvas.addEventListener(
    'wheel',
    (event) => {
      event.preventDefault();
      const lines = event.deltaMode === 1 ? 30 : 1;
      const { x, y } = spotOf(event);
      wishes.zoom(Math.exp(Math.min(Math.max(event.deltaY * lines, -240), 240) * 0.0012), x, y);
    },
    { passive: false },
  );
  canvas.addEventListener('keydown', (event) => pressed(canvas, wishes, event));
}

/**
 * One finger or the left button turns; the middle or right button, or the shift key, shifts.
 * @param {HTMLElement} canvas
 * @param {Wishes} wishes
 * @param {PointerEvent} event
 * @param {Spot} before
 * @param {Spot} now
 */
function moved(canvas, wishes, event, before, now) {
  const [dx, dy] = [now.x - before.x, now.y - before.y];
  if (event.buttons & 6 || event.shiftKey) wishes.pan(dx / canvas.clientHeight, -dy / canvas.clientHeight);
  else wishes.orbit(dx * DEG_PX, dy * DEG_PX);
}

/**
 * Two fingers shift by their middle and go nearer by their spread.
 * @param {HTMLElement} canvas
 * @param {Wishes} wishes
 * @param {Spot} before
 * @param {Spot} now
 * @param {Spot} other
 */
function pinched(canvas, wishes, before, now, other) {
  const wide = (/** @type {Spot} */ spot) => Math.max(Math.hypot(spot.x - other.x, spot.y - other.y), 10);
  wishes.pan((now.x - before.x) / 2 / canvas.clientHeight, (before.y - now.y) / 2 / canvas.clientHeight);
  wishes.zoom(wide(before) / wide(now), (now.x + other.x) / 2, (now.y + other.y) / 2);
}

/**
 * @param {HTMLElement} canvas
 * @param {Wishes} wishes
 * @param {KeyboardEvent} event
 */
function pressed(canvas, wishes, event) {
  if (event.ctrlKey || event.altKey || event.metaKey) return;
  const middle = /** @type {const} */ ([canvas.clientWidth / 2, canvas.clientHeight / 2]);
  const ways = /** @type {Record<string, [number, number]>} */ ({ ArrowLeft: [1, 0], ArrowRight: [-1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] });
  const way = ways[event.key];
  if (way && event.shiftKey) wishes.pan(way[0] * 0.06, way[1] * -0.06);
  else if (way) wishes.orbit(way[0] * KEY_DEG, way[1] * KEY_DEG);
  else if (event.key === '+' || event.key === '=') wishes.zoom(0.88, ...middle);
  else if (event.key === '-') wishes.zoom(1 / 0.88, ...middle);
  else if (event.key === 'End') wishes.fit();
  else return;
  event.preventDefault();
  event.stopPropagation();
}
