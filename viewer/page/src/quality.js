/** @typedef {'plain'|'fine'} Quality */

const QUICK_MS = 9;
const MOST_PIXELS = { plain: 4.2e6, fine: 9e6 };
const [RESTED_MS, MOST_MS] = [1500, 400];
const SLOW_MS = 55;
const FAST_MS = 30;
const RATIOS = [1, 0.8, 0.65];
const ROUGH = 0.5;

/** How finely to draw: asked for in the address (`?quality=plain`, `fine` or `rough`), else as quick as the machine is. */
export class Pace {
  constructor() {
    const asked = new URLSearchParams(location.search).get('quality');
    /** @type {Quality|null} */
    this.asked = asked === 'rough' ? 'plain' : asked === 'plain' || asked === 'fine' ? asked : null;
    this.rough = asked === 'rough';
    /** @type {Quality} */
    this.quality = this.asked ?? 'plain';
    this.level = 0;
    this.mean = 40;
    this.last = 0;
  }

  /** Of a drawn picture, all of it waited for. @param {number} ms @returns {boolean} whether the quality changes */
  timed(ms) {
    const found = this.asked ?? (ms < QUICK_MS ? 'fine' : 'plain');
    const changes = found !== this.quality;
    this.quality = found;
    return changes;
  }

  /** A frame of motion: where they come too slowly the next are smaller. @param {number} now */
  moved(now) {
    const passed = now - this.last;
    this.last = now;
    if (this.quality === 'fine' || passed > RESTED_MS) return;
    this.mean += 0.2 * (Math.min(passed, MOST_MS) - this.mean);
    const way = this.mean > SLOW_MS ? 1 : this.mean < FAST_MS ? -1 : 0;
    const level = Math.min(Math.max(this.level + way, 0), RATIOS.length - 1);
    if (level !== this.level) this.mean = (SLOW_MS + FAST_MS) / 2;
    this.level = level;
  }

  /**
   * Pixels drawn for each of the page.
   * @param {boolean} moving
   * @param {number} area of the picture, px of the page
   */
  ratio(moving, area) {
    if (this.rough) return ROUGH;
    const screen = Math.max(devicePixelRatio, 1);
    if (moving && this.quality === 'plain') return RATIOS[this.level];
    const most = Math.sqrt(MOST_PIXELS[this.quality] / Math.max(area, 1));
    return Math.max(Math.min(screen < 1.5 ? 2 : screen, most), 0.5);
  }
}
