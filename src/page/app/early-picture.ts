import type { ShownSurface } from '../../core/context.js';
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
  const points = new Float64Array(3 * cornerOf.length),
    unit = new Float64Array(3 * cornerOf.length);
  cornerOf.forEach((c, i) => {
    for (let k = 0; k < 3; k++) {
      points[3 * i + k] = positions[3 * triangles[c] + k];
      unit[3 * i + k] = normals[3 * c + k];
    }
  });
  return { positions: points, normals: unit, triangles: new Uint32Array(vertexOf) };
}
