import {
  Color,
  EdgesGeometry,
  LineBasicMaterial,
  LineSegments,
  Mesh,
  MeshBasicMaterial,
  PlaneGeometry,
  Scene,
} from 'three';
import type { ChartFrames } from './chart-frames.js';

/** The squares of the sheet, a little behind what lies on them. */
export function makePaper({ tiles, sheetSize }: ChartFrames): [Scene, MeshBasicMaterial] {
  const scene = new Scene();
  const material = new MeshBasicMaterial({ color: 0xffffff });
  const rule = new LineBasicMaterial({ color: new Color().setStyle('#a79f8d', '') });
  for (let row = 0; row < tiles[1]; row++)
    for (let column = 0; column < tiles[0]; column++) {
      const plane = new PlaneGeometry(sheetSize, sheetSize);
      const square = new Mesh(plane, material);
      const outline = new LineSegments(new EdgesGeometry(plane), rule);
      for (const object of [square, outline]) {
        object.position.set(
          (column + 0.5 - tiles[0] / 2) * sheetSize,
          (row + 0.5 - tiles[1] / 2) * sheetSize,
          object === square ? -0.02 : -0.01,
        );
        scene.add(object);
      }
    }
  return [scene, material];
}
