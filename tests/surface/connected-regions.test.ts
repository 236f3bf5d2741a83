import { expect, test } from 'vitest';
import { connectedAmong, connectedRegions } from '../../src/surface/connected-regions.js';
import { partOf } from '../reach/part.js';
import * as shapes from '../support/shapes.js';

const { mesh, topology } = partOf(shapes.icosphere(10, 3));
const FACES = mesh.triangles.length / 3;

// The same partition by the way that looks at every face.
test.each([0.02, 0.3, 0.6, 1])('some faces hang together as the whole would: share %d of them', (share) => {
  const random = shapes.randomNumbers(100 * share);
  const labels = Int32Array.from({ length: FACES }, () => (random() < share ? 0 : -1));
  const among = Uint32Array.from([...labels.keys()].filter((f) => labels[f] === 0));
  expect(connectedAmong(topology, among)).toEqual(connectedRegions(topology, labels));
});

test('nothing of no faces', () => {
  const { regionOfFace, count } = connectedAmong(topology, Uint32Array.of());
  expect(count).toBe(0);
  expect(new Set(regionOfFace)).toEqual(new Set([-1]));
});
