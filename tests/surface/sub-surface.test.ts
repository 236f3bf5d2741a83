import { expect, test } from 'vitest';
import { startSurface } from '../../src/surface/surface-builder.js';
import { subSurface } from '../../src/surface/sub-surface.js';
import { readyPart } from '../support/pipeline.js';
import * as shapes from '../support/shapes.js';

test('facets keep places, normals, parents and pairs; what is left behind becomes open', () => {
  const part = readyPart(shapes.turned(shapes.boxPocket({ width: 30, length: 20, depth: 10 }), 17.3));
  const { surface } = startSurface(part.mesh, part.topology, part.normals).finish();
  const faces = Uint32Array.from([...surface.parent.keys()].filter((f) => f % 3 !== 1)).reverse();
  const { surface: some, vertexOf, faceOf } = subSurface(surface, faces);
  expect(faceOf).toEqual(faces);
  expect(new Set(vertexOf).size).toBe(some.mesh.positions.length / 3);
  faces.forEach((f, i) => {
    expect(some.parent[i]).toBe(surface.parent[f]);
    for (let k = 0; k < 3; k++) {
      const v = some.mesh.triangles[3 * i + k],
        old = surface.mesh.triangles[3 * f + k];
      expect(vertexOf[v]).toBe(old);
      expect(some.mesh.positions.subarray(3 * v, 3 * v + 3)).toEqual(
        surface.mesh.positions.subarray(3 * old, 3 * old + 3),
      );
      const t = surface.topology.twin[3 * f + k],
        g = faces.indexOf((t / 3) | 0);
      expect(some.topology.twin[3 * i + k]).toBe(g < 0 ? -1 : 3 * g + (t % 3));
    }
    expect(some.normals.subarray(9 * i, 9 * i + 9)).toEqual(surface.normals.subarray(9 * f, 9 * f + 9));
  });
});
