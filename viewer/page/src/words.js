/** Text that is the page's own, the same for every engine. Whatever speaks of the engine comes from Python. */
export const WORDS = {
  skip: 'Skip to what was found',
  picture: 'The engine',
  side: 'What was found',
  tools: 'What the picture shows',
  crank: 'Crank',
  noPicture: 'This browser draws no solids (no WebGL). Everything else is here.',
  bore: 'Bore',
  alone: 'Alone',
  aloneHint: 'This bore alone',
  spread: 'Spread',
  spreadHint: 'Piston, rings, pin and rod of this bore apart',
  block: 'Block',
  blocks: { glass: 'Glass', cut: 'Cut', solid: 'Solid', hidden: 'Away' },
  view: 'View',
  views: {
    iso: 'Free', front: 'Front', rear: 'Rear', left: 'Left', right: 'Right', top: 'From above', below: 'From below',
    bore: 'Along the crank', place: 'The place',
  },
  fit: 'Fit',
  angle: 'Crank angle, degrees',
  play: 'Turn',
  playBack: 'Turn backwards',
  stop: 'Stop',
  speed: 'Speed',
  speeds: { 15: '15°/s', 60: '60°/s', 180: '180°/s', 720: '2 rev/s' },
  variants: 'Engine shown',
  together: 'Side by side',
  keys: 'Keys',
  close: 'Close',
  back: 'Back to where I stood',
  next: 'Next place',
  worst: 'Worst place',
};

/** A sign beside every verdict, so that none is told by colour alone. */
export const SIGNS = { stop: '✕', look: '!', note: '✓' };
