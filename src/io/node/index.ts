export { readMeshFile } from './read-mesh-file.js';
export type { OutputFile } from './write-files.js';
export { writeFilesAtomically } from './write-files.js';
