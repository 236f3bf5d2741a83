import type { Soup } from '../../src/core/soup.js';

/** Corners as a reader would hand them over. */
export const soupOf = (corners: Float64Array): Soup => ({
  corners,
  findings: [],
  source: {
    name: 'shape.stl',
    format: 'stl-binary',
    sha256: '',
    bytes: 0,
    triangles: corners.length / 9,
    unit: 'mm',
    unitFrom: 'option',
  },
});
