import type { Command } from './command.js';
import { PROPOSE_OPTIONS, SHARED } from './options.js';

const FILES =
  'FILE is an .obj, .glb, .gltf, .usda, .ply or exchange .json file; - reads one of them, such as exchange JSON, from standard input.';

/** Every command of the program, in the order of the help. */
export const COMMANDS: readonly Command[] = [
  {
    name: 'propose',
    operands: ['FILE'],
    summary: 'Propose ranked seam sets for a model, and write each with its layout and pictures.',
    details: [
      FILES,
      'DIR gets proposal.json, report.html and, for each set K, set-K.obj (the model as it was, with new UVs), set-K.svg (the layout) and set-K.png (the seams on the model). A model in another format is written in that format too. Files are put in place only when all are ready.',
    ],
    options: {
      out: {
        short: 'o',
        value: 'DIR',
        help: 'Folder for the results; made when missing. Needed unless --json is given.',
      },
      up: SHARED.up,
      front: SHARED.front,
      ...PROPOSE_OPTIONS,
      'face-weights': {
        value: 'FILE',
        help: 'JSON list of one number above 0 for each face: more or less density there, times what --weights says. Default: even.',
      },
      hints: { value: 'FILE', help: "JSON file with the artist's wishes; see docs/hints.md." },
      'keep-groups': {
        value: 'KIND',
        help: 'Always cut where groups of the file meet: group, object, material or subset.',
      },
      'keep-uvs': { help: 'Always cut where the UVs that the file has are cut.' },
      'hard-edges': { value: 'DEG', help: 'Always cut edges sharper than this, 0 to 180.' },
      profile: { value: 'FILE', help: 'JSON file with a house style: what length and exposure cost.' },
      glb: { help: 'Write set-K.glb as well.' },
      template: SHARED.template,
      json: { help: 'Print proposal.json on standard output too.' },
      jobs: SHARED.jobs,
      quiet: SHARED.quiet,
      help: SHARED.help,
    },
    examples: [
      'seamwright propose puppet.obj --out sheets',
      'seamwright propose puppet.glb --out sheets --sets 5 --stretch-limit 4.2 --glb',
      'seamwright propose scan.ply --out sheets --up=+z --front=-y --resolution 4096',
    ],
    run: async (run) => (await import('./propose-command.js')).runPropose(run),
  },
  {
    name: 'measure',
    operands: ['FILE'],
    summary: 'Measure the UVs that a file already has: stretch, flips, overlaps, charts and fill.',
    details: [FILES],
    options: {
      resolution: SHARED.resolution,
      json: SHARED.json,
      quiet: SHARED.quiet,
      help: SHARED.help,
    },
    examples: ['seamwright measure puppet.obj', 'seamwright measure puppet.obj --json'],
    run: async (run) => (await import('./measure-command.js')).runMeasure(run),
  },
  {
    name: 'compare',
    operands: ['A', 'B'],
    summary: 'Compare the UVs of two files of one model, and say in words which is better in what.',
    details: [FILES.replace('FILE is', 'A and B are each')],
    options: {
      up: SHARED.up,
      front: SHARED.front,
      resolution: SHARED.resolution,
      json: SHARED.json,
      quiet: SHARED.quiet,
      help: SHARED.help,
    },
    examples: ['seamwright compare puppet-by-hand.obj sheets/set-1.obj'],
    run: async (run) => (await import('./compare-command.js')).runCompare(run),
  },
  {
    name: 'carry',
    operands: ['FROM', 'TO'],
    summary: 'Carry UVs and seams over to an edited or re-posed version of a model.',
    details: [
      FILES.replace('FILE is', 'FROM and TO are each'),
      'A model of the same faces takes everything exactly, in any pose; a changed one takes it from the nearest surface, in the same pose and place, and what could not be carried is told. USDA and exchange JSON hold seams besides UVs.',
    ],
    options: {
      out: { short: 'o', value: 'FILE', help: 'File to write: .obj, .glb, .usda or .json.' },
      tolerance: {
        value: 'SHARE',
        help: "How far the new surface may lie from the old, in shares of the model's diagonal, 0 to 1. Default: 0.02.",
      },
      json: SHARED.json,
      quiet: SHARED.quiet,
      help: SHARED.help,
    },
    examples: ['seamwright carry sheets/set-1.obj puppet-edited.obj --out puppet-laid.obj'],
    run: async (run) => (await import('./carry-command.js')).runCarry(run),
  },
  {
    name: 'inspect',
    operands: ['FILE'],
    summary: "Tell a mesh's health: shells, borders, handles, repairs and symmetry.",
    details: [FILES],
    options: {
      up: SHARED.up,
      front: SHARED.front,
      json: SHARED.json,
      quiet: SHARED.quiet,
      help: SHARED.help,
    },
    examples: ['seamwright inspect puppet.obj', 'seamwright inspect puppet.obj --json'],
    run: async (run) => (await import('./inspect-command.js')).runInspect(run),
  },
  {
    name: 'demo',
    operands: [],
    summary: 'Make a marionette, propose seam sets for it, and write everything with pictures.',
    details: ['The marionette is made by a generator in this package, alike every time.'],
    options: {
      out: { short: 'o', value: 'DIR', help: 'Folder for the results. Default: demo-out.' },
      faces: { value: 'N', help: 'Wanted number of faces, 500 to 250000. Default: 3000.' },
      pose: { value: 'POSE', help: 'Pose: a, t, armsDown, armsRaised, sitting or asymmetric. Default: a.' },
      ...PROPOSE_OPTIONS,
      json: { help: 'Print proposal.json on standard output too.' },
      jobs: SHARED.jobs,
      quiet: SHARED.quiet,
      help: SHARED.help,
    },
    examples: ['seamwright demo', 'seamwright demo --faces 12000 --pose sitting --out puppet'],
    run: async (run) => (await import('./demo-command.js')).runDemo(run),
  },
  {
    name: 'batch',
    operands: [],
    summary: 'Propose seam sets for many models, several at a time, and go on where an earlier run ended.',
    details: [
      'The list names one model a line, from the folder that the list lies in; lines that start with # are left out. DIR gets a folder for each model, with what propose writes, and summary.json. A model whose file and options are as they were is not done again; a model that fails never stops the others.',
    ],
    options: {
      list: { value: 'FILE', help: 'Text file that names the models.' },
      out: { short: 'o', value: 'DIR', help: 'Folder for the results; made when missing.' },
      jobs: {
        short: 'j',
        value: 'N',
        help: 'Models worked on at once, 1 to 256. Default: one less than the processors, at least 1.',
      },
      up: SHARED.up,
      front: SHARED.front,
      ...PROPOSE_OPTIONS,
      'keep-groups': {
        value: 'KIND',
        help: 'Always cut where groups of a file meet: group, object, material or subset.',
      },
      'keep-uvs': { help: 'Always cut where the UVs that a file has are cut.' },
      'hard-edges': { value: 'DEG', help: 'Always cut edges sharper than this, 0 to 180.' },
      profile: { value: 'FILE', help: 'JSON file with a house style: what length and exposure cost.' },
      glb: { help: 'Write set-K.glb as well.' },
      template: SHARED.template,
      json: { help: 'Print summary.json on standard output instead of the table.' },
      quiet: SHARED.quiet,
      help: SHARED.help,
    },
    examples: [
      'seamwright batch --list troupe.txt --out sheets',
      'seamwright batch --list troupe.txt --out sheets --jobs 8 --json',
    ],
    run: async (run) => (await import('./batch-command.js')).runBatch(run),
  },
  {
    name: 'bridge',
    operands: [],
    summary: 'Serve another program: JSON-RPC 2.0 on standard input and output.',
    details: [
      'For programs that start this one and talk to it; docs/bridge.md has the methods, the error codes and a Python client. It ends when its standard input is closed.',
    ],
    options: {
      folder: {
        value: 'DIR',
        help: 'Folder whose files the client may name by path. Default: none, and paths are refused.',
      },
      jobs: {
        short: 'j',
        value: 'N',
        help: 'Requests worked on at once, 1 to 64. Default: the processors, at most 4.',
      },
      'max-message': { value: 'MIB', help: 'Largest message, 1 to 1024. Default: 256.' },
      'max-meshes': { value: 'N', help: 'Most meshes open at once, 1 to 1024. Default: 16.' },
      'max-memory': { value: 'MIB', help: 'Most heap for each of the jobs, 64 to 65536. Default: 4096.' },
      help: SHARED.help,
    },
    examples: ['seamwright bridge', 'seamwright bridge --folder models --jobs 2'],
    run: async (run) => (await import('./bridge-command.js')).runBridge(run),
  },
];
