import { MACHINABLE_CLASSES } from '../core/classes.js';
import type { Surface } from '../part/types.js';

/**
 * Machinable facets with a wanted vertex, and the facets beside them: so that where the wanted ones end does
 * not look like an edge of the part.
 *
 * @param labels (F) index in `CLASSES`, or more where not machinable
 * @returns ascending
 */
export function touchingFaces(
  { mesh: { triangles }, topology: { twin } }: Surface,
  labels: Uint8Array,
  isWanted: (v: number) => boolean,
): Uint32Array {
  const isIn = new Uint8Array(labels.length);
  let count = 0;
  const take = (f: number): void => {
    if (isIn[f] === 0) count++;
    isIn[f] = 1;
  };
  for (let f = 0, h = 0; f < labels.length; f++, h += 3) {
    if (labels[f] >= MACHINABLE_CLASSES) continue;
    if (!isWanted(triangles[h]) && !isWanted(triangles[h + 1]) && !isWanted(triangles[h + 2])) continue;
    take(f);
    for (let k = h; k < h + 3; k++) if (twin[k] >= 0) take((twin[k] / 3) | 0);
  }
  const faces = new Uint32Array(count);
  for (let f = 0, at = 0; f < labels.length; f++) if (isIn[f] === 1) faces[at++] = f;
  return faces;
}
