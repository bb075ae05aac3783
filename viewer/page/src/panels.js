import { clockPanel } from './panels/clock.js';
import { diagnosisPanel } from './panels/diagnosis.js';
import { tryingPanel } from './panels/trying.js';
import { closestPanel } from './panels/closest.js';
import { curvesPanel } from './panels/curves.js';
import { mistakePanel } from './panels/mistake.js';
import { storyPanel } from './panels/story.js';
import { numbersPanel } from './panels/numbers.js';
import { sectionPanel } from './panels/section.js';
import { readingsPanel } from './panels/readings.js';
/** @import {Live} from './live/live.js' */
/** @import {Journey} from './journey.js' */
/** @import {Stage} from './stage.js' */
/** @import {State, Store} from './store.js' */
/** @import {Page} from './types.js' */

/**
 * @typedef {object} Context what a panel is made with
 * @property {Store} store
 * @property {Stage|null} stage null without WebGL
 * @property {Live|null} live the machine that serves the page, null where it is a file
 * @property {Journey} journey going to places, back, turning the crank by hand
 */

/**
 * One panel beside the picture: one file in panels/ and its line in PANELS. `update` is called while it is seen, and with
 * all that it missed when it is seen again.
 * @typedef {object} Panel
 * @property {string} id
 * @property {string} title
 * @property {('builder'|'customer')[]} voices who sees it
 * @property {boolean} [live] only where the page is served
 * @property {(page: Page) => boolean} [when] only where the page holds what it shows
 * @property {(context: Context) => {element: HTMLElement, update?: (state: State, changed: Set<keyof State>) => void}} make
 */

/** @type {Panel[]} */
export const PANELS = [storyPanel, mistakePanel, closestPanel, readingsPanel, clockPanel, sectionPanel, curvesPanel, numbersPanel, tryingPanel, diagnosisPanel];
