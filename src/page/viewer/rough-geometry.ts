import { BufferAttribute, BufferGeometry } from 'three';

/**
 * Cells along the longest side of the part. Drawn by software with smooth edges a facet takes 7 µs, whatever it covers:
 * that many cells of a surface in two directions are 6000 facets, of 110 four times that.
 */
const CELLS = 56;

/**
 * A surface with far fewer facets, to be drawn while it moves: vertices of one cell of a grid stand in one place, and
 * those of one region there are one vertex; facets that so lose their area are left out.
 *
 * @param geometry with positions, regions and an index
 * @returns the geometry, and the vertex that each of its vertices stands for
 */
export function roughGeometry(geometry: BufferGeometry): {
  readonly rough: BufferGeometry;
  readonly standsFor: Uint32Array;
} {
  const places = geometry.getAttribute('position').array,
    regions = geometry.getAttribute('region').array;
  const triangles = geometry.getIndex()?.array ?? new Uint32Array(0);
  geometry.computeBoundingBox();
  const { min, max } = geometry.boundingBox ?? { min: { x: 0, y: 0, z: 0 }, max: { x: 1, y: 1, z: 1 } };
  const perMm = CELLS / Math.max(1e-9, max.x - min.x, max.y - min.y, max.z - min.z);
  const low = [min.x, min.y, min.z];
  const firstInCell = new Map<number, number>(),
    numberOf = new Map<string, number>();
  const chosen: number[] = [],
    cells: number[] = [];
  const roughOf = Uint32Array.from(regions, (region, v) => {
    const cell = low.reduce(
      (key, from, k) => key * (CELLS + 1) + Math.floor((places[3 * v + k] - from) * perMm),
      0,
    );
    if (!firstInCell.has(cell)) firstInCell.set(cell, v);
    const key = `${cell} ${region}`;
    const known = numberOf.get(key);
    if (known !== undefined) return known;
    numberOf.set(key, chosen.length);
    cells.push(cell);
    return chosen.push(v) - 1;
  });
  const corners: number[] = [];
  for (let t = 0; t < triangles.length; t += 3) {
    const three = [0, 1, 2].map((k) => roughOf[triangles[t + k]]);
    const [a, b, c] = three.map((v) => cells[v]);
    if (a !== b && b !== c && c !== a) corners.push(...three);
  }
  const standsFor = Uint32Array.from(chosen);
  const rough = new BufferGeometry().setIndex(new BufferAttribute(Uint32Array.from(corners), 1));
  for (const name of Object.keys(geometry.attributes)) copyRough(geometry, rough, name, standsFor);
  const placed = rough.getAttribute('position').array;
  cells.forEach((cell, i) => {
    const v = firstInCell.get(cell) ?? 0;
    for (let k = 0; k < 3; k++) placed[3 * i + k] = places[3 * v + k];
  });
  return { rough, standsFor };
}

/** Takes one attribute over for the vertices that stand for others. */
export function copyRough(
  from: BufferGeometry,
  to: BufferGeometry,
  name: string,
  standsFor: Uint32Array,
): void {
  const { array, itemSize } = from.getAttribute(name);
  const out = new Float32Array(itemSize * standsFor.length);
  standsFor.forEach((v, i) => {
    for (let k = 0; k < itemSize; k++) out[itemSize * i + k] = array[itemSize * v + k];
  });
  to.setAttribute(name, new BufferAttribute(out, itemSize));
}
