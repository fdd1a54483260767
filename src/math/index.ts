export { planarBounds } from './planar-bounds.js';
export type { Symmetric3 } from './symmetric-eigen.js';
export { symmetricEigenvectors } from './symmetric-eigen.js';
export { addTriangleNormal } from './triangle-normal.js';
export type { Vec3 } from './vec3.js';
export { add, cross, dot, length, normalize, scale, subtract, vec3At } from './vec3.js';
