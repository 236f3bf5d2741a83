import { facetNormals } from '../../src/part/facet-normals.js';
import { prepareMesh } from '../../src/part/prepare.js';
import { randomNumbers } from './shapes.js';

/** Along which a point strays: each axis by itself, the tool axis, or its vertex's area-weighted normal. */
export type NoiseAlong = 'axes' | 'z' | 'normals';

/**
 * The same triangles with every welded vertex moved by up to `mm`, evenly distributed; the same for the same
 * seed.
 */
export function withNoise(
  corners: Float64Array,
  mm: number,
  seed: number,
  along: NoiseAlong = 'axes',
): Float64Array {
  const { mesh } = prepareMesh(
    {
      corners,
      findings: [],
      source: {
        name: 'n.stl',
        format: 'stl-binary',
        sha256: '',
        bytes: 0,
        triangles: corners.length / 9,
        unit: 'mm',
        unitFrom: 'option',
      },
    },
    { axis: [0, 0, 1], stand: false },
  );
  const next = randomNumbers(seed);
  const stray = (): number => mm * (2 * next() - 1);
  const directions = vertexNormals(mesh);
  const moved = mesh.positions.slice();
  for (let v = 0; v < moved.length; v += 3) {
    const by = along === 'normals' ? stray() : 0;
    for (let i = 0; i < 3; i++) {
      moved[v + i] += along === 'axes' || (along === 'z' && i === 2) ? stray() : by * directions[v + i];
    }
  }
  return Float64Array.from(
    { length: 3 * mesh.triangles.length },
    (_, i) => moved[3 * mesh.triangles[(i - (i % 3)) / 3] + (i % 3)],
  );
}

function vertexNormals(mesh: Parameters<typeof facetNormals>[0]): Float64Array {
  const { normals, areas } = facetNormals(mesh);
  const sums = new Float64Array(mesh.positions.length);
  mesh.triangles.forEach((v, h) => {
    const f = (h - (h % 3)) / 3;
    for (let i = 0; i < 3; i++) sums[3 * v + i] += areas[f] * normals[3 * f + i];
  });
  return sums.map((_, i) => {
    const v = i - (i % 3);
    const length = Math.sqrt(sums[v] ** 2 + sums[v + 1] ** 2 + sums[v + 2] ** 2);
    return length > 0 ? sums[i] / length : 0;
  });
}
