import type { OptionSpec } from './command.js';

/** Options that several commands share, described once. */
export const SHARED = {
  help: { short: 'h', help: 'Show this help.' },
  json: { help: 'Print the result as JSON on standard output.' },
  resolution: { value: 'PX', help: 'Side of the sheet in pixels, for densities. Default: 2048.' },
  jobs: {
    short: 'j',
    value: 'N',
    help: 'Charts and sheets worked on at once, 1 to 64; the results do not depend on it. Default: 1 below 30,000 faces, where more take no less time, else the processors, at most 4.',
  },
  template: {
    help: 'Write set-K-template.svg and .png as well: outlines and names of parts on clear ground, pixel on pixel with the sheet, as layers to paint under.',
  },
  quiet: { help: 'No progress bar and no warnings.' },
  up: {
    value: 'AXIS',
    help: 'Axis that points up: x, y or z with an optional sign. Default: what the file says, else +y.',
  },
  front: { value: 'AXIS', help: 'Axis the character faces. Default: +z, or -y where up is z.' },
} as const satisfies Record<string, OptionSpec>;

/** Options of the commands that propose seams. */
export const PROPOSE_OPTIONS = {
  sets: { value: 'N', help: 'Most seam sets to propose, 1 to 8. Default: 3.' },
  'stretch-limit': {
    value: 'E',
    help: 'Stretch energy that a chart should stay under; 4 is no stretch, 4.2 hardly visible. Default: 4.5.',
  },
  'chart-limit': { value: 'N', help: 'Most charts a set may have, from 1. Default: no limit.' },
  viewpoints: {
    value: 'FROM',
    help: 'Where the model will be seen from: all-round, front or behind-above. Default: all-round.',
  },
  symmetry: {
    value: 'MODE',
    help: 'Mirror the seams where the model is symmetric: auto or off. Default: auto.',
  },
  resolution: { value: 'PX', help: 'Side of the sheet in pixels, 16 to 65536. Default: 2048.' },
  padding: { value: 'PX', help: 'Pixels kept free round each chart. Default: the resolution / 128.' },
  rotation: { value: 'TURNS', help: 'Turns allowed when packing: free, quarter or none. Default: free.' },
  effort: { value: 'N', help: 'How long to look for a tighter packing, 0 (one pass) to 100. Default: 0.5.' },
  density: {
    value: 'N',
    help: 'Texel density in pixels per metre; as many tiles are filled as it needs. Default: as dense as fits.',
  },
  'unit-metres': { value: 'M', help: 'Metres in a unit of the model. Default: what the file says, else 1.' },
  tiles: {
    value: 'N',
    help: 'Most tiles to spread the charts over, 1 to 1000. Default: 1, or what --density needs.',
  },
  weights: {
    value: 'LIST',
    help: 'Parts that get more or less density, such as head=1.5,hand=1.2. Default: even.',
  },
  'stack-mirrored': { help: 'Lay mirror images over their originals, each a whole tile away.' },
  'pair-mirrored': { help: 'Lay mirror images beside their originals, mirrored on the sheet too.' },
} as const satisfies Record<string, OptionSpec>;
