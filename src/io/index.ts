export { indexUvs, spreadUvs } from './corner-uvs.js';
export type { ReadLimits } from './limits.js';
export { READ_DEFAULTS } from './limits.js';
export type { ObjDocument } from './obj/read-obj.js';
export { readObj } from './obj/read-obj.js';
export type { WriteObjOptions } from './obj/write-obj.js';
export { WRITE_OBJ_DEFAULTS, writeObj, writeObjBytes } from './obj/write-obj.js';
export type { FaceGroup, IndexedUvs, MeshFormat, SourceDocument } from './source-document.js';
