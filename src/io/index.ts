export { indexUvs, spreadUvs } from './corner-uvs.js';
export type { JsonSchema } from './exchange/check-schema.js';
export { checkSchema } from './exchange/check-schema.js';
export type {
  ExchangeDocument,
  ExchangeMesh,
  ExchangePrimvar,
  ExchangeSubset,
} from './exchange/read-exchange.js';
export { EXCHANGE_SCHEMA, readExchange } from './exchange/read-exchange.js';
export type { WriteExchangeOptions } from './exchange/write-exchange.js';
export { addToExchange, createExchange, writeExchange } from './exchange/write-exchange.js';
export type { GltfJson } from './gltf/container.js';
export type { CreateGlbOptions } from './gltf/create-glb.js';
export { createGlb } from './gltf/create-glb.js';
export type { GltfDocument, GltfPrimitive, ReadGltfOptions } from './gltf/read-gltf.js';
export { readGltf } from './gltf/read-gltf.js';
export type { ReadResource } from './gltf/resources.js';
export type { WriteGltfOptions } from './gltf/write-gltf.js';
export { writeGltf } from './gltf/write-gltf.js';
export type { ReadLimits } from './limits.js';
export { READ_DEFAULTS } from './limits.js';
export type { Matrix4 } from './matrices.js';
export { createObj } from './obj/create-obj.js';
export type { ObjDocument } from './obj/read-obj.js';
export { readObj } from './obj/read-obj.js';
export type { WriteObjOptions } from './obj/write-obj.js';
export { WRITE_OBJ_DEFAULTS, writeObj, writeObjBytes } from './obj/write-obj.js';
export { parseJson } from './parse-json.js';
export type { PlyDocument } from './ply/read-ply.js';
export { readPly } from './ply/read-ply.js';
export type { MeshDocument, ReadMeshOptions } from './read-mesh.js';
export { detectFormat, readMesh } from './read-mesh.js';
export type { ChartRecord, SeamRecord } from './seam-records.js';
export type { FaceGroup, IndexedUvs, MeshArrays, MeshFormat, SourceDocument } from './source-document.js';
export type { CreateUsdaOptions } from './usd/create-usda.js';
export { createUsda } from './usd/create-usda.js';
export type { UsdaDocument, UsdaMeshPrim } from './usd/read-usda.js';
export { readUsda } from './usd/read-usda.js';
export type { WriteUsdaOptions } from './usd/write-usda.js';
export { writeUsda, writeUsdaBytes } from './usd/write-usda.js';
export type { WriteOptions, WrittenFile, WrittenFormat } from './write-with-uvs.js';
export { writeWithUvs } from './write-with-uvs.js';
