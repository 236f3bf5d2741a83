import type { ShownSurface } from '../../core/context.js';
import { rowsOf } from '../../core/rows-of.js';
import { splitVertices } from '../../write/view-data.js';
import type { EarlyPicture } from './messages.js';

/** A part's surface as the page shows it while the rest is being computed. */
export function earlyPicture({ positions, triangles, normals }: ShownSurface): EarlyPicture {
  const faces = triangles.length / 3;
  const order = Uint32Array.from({ length: faces }, (_, f) => f);
  const { cornerOf, vertexOf } = splitVertices(
    { mesh: { positions, triangles }, normals },
    new Int32Array(faces),
    order,
  );
  return {
    positions: rowsOf(
      positions,
      cornerOf.map((c) => triangles[c]),
    ),
    normals: rowsOf(normals, cornerOf),
    triangles: vertexOf,
  };
}
