import { mapTo } from '../core/map-to.js';
import { rowsOf } from '../core/rows-of.js';
import { perCorner, perFace } from '../core/array-types.js';
import type { Surface } from '../part/types.js';

/**
 * Takes some facets out of a surface; edges to facets left behind become open.
 *
 * @param faces (F of the part) facets of the whole surface, each once; their order is kept
 */
export function subSurface({ mesh, topology, normals, parent }: Surface, faces: Uint32Array) {
  const { positions, triangles } = mesh;
  const newFace = new Int32Array(triangles.length / 3).fill(-1);
  const newVertex = new Int32Array(positions.length / 3).fill(-1);
  faces.forEach((f, i) => {
    newFace[f] = i;
  });
  const corners = new Uint32Array(3 * faces.length),
    twin = new Int32Array(3 * faces.length).fill(-1);
  const vertexOf = new Uint32Array(3 * faces.length);
  let vertices = 0;
  for (let i = 0; i < corners.length; i++) {
    const h = 3 * faces[(i / 3) | 0] + (i % 3),
      v = triangles[h],
      t = topology.twin[h];
    if (newVertex[v] < 0) {
      vertexOf[vertices] = v;
      newVertex[v] = vertices++;
    }
    corners[i] = newVertex[v];
    const g = t < 0 ? -1 : newFace[(t / 3) | 0];
    if (g >= 0) twin[i] = 3 * g + (t % 3);
  }
  const used = vertexOf.slice(0, vertices);
  return {
    surface: {
      mesh: { positions: rowsOf(positions, used), triangles: corners },
      topology: { twin },
      normals: perCorner(rowsOf(normals, faces, 9)),
      parent: perFace(mapTo(new Int32Array(faces.length), faces, (f) => parent[f])),
    },
    /** (V of the part) vertex of the whole surface */
    vertexOf: used,
    /** (F of the part) facet of the whole surface */
    faceOf: faces,
  };
}
