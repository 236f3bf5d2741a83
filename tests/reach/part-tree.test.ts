import { expect, test } from 'vitest';
import { buildPartTree, meshFacets } from '../../src/reach/build-part-tree.js';
import {
  isLeaf,
  leafCount,
  leafStart,
  leftChild,
  NODE_STRIDE,
  rightChild,
  STACK_DEPTH,
  type PartTree,
} from '../../src/reach/part-tree.js';
import * as shapes from '../support/shapes.js';
import { partOf } from './part.js';

/** Every node with its depth, from the root down, by the accessors that the queries use. */
function nodesOf({ links }: PartTree): { node: number; depth: number }[] {
  const nodes: { node: number; depth: number }[] = [];
  const stack = [{ node: 0, depth: 0 }];
  for (let at = stack.pop(); at; at = stack.pop()) {
    nodes.push(at);
    if (isLeaf(links, at.node)) continue;
    for (const node of [leftChild(at.node), rightChild(links, at.node)])
      stack.push({ node, depth: at.depth + 1 });
  }
  return nodes;
}

// The layout of the library's nodes is no part of its documented interface: this is what we rely on.
test.each([
  ['box', shapes.box(3, 5, 7)],
  ['ball of 5120', shapes.icosphere(10, 4)],
  ['pocket far away', shapes.moved(shapes.roundPocket({ segments: 48, filletFacets: 6 }), [1e4, -7e3, 25])],
] as const)('%s: boxes hold their facets and their children, every facet lies in one leaf', (_, corners) => {
  const { mesh } = partOf(corners);
  const count = mesh.triangles.length / 3;
  const tree = buildPartTree(meshFacets(mesh));
  const nodes = nodesOf(tree);
  expect(nodes.length * NODE_STRIDE).toBe(tree.boxes.length);
  expect(Math.max(...nodes.map(({ depth }) => depth))).toBeLessThan(STACK_DEPTH);
  const seen = new Uint8Array(count);
  const box = (node: number): number[] => [...tree.boxes.subarray(node, node + 6)];
  const within = (node: number, low: readonly number[], high: readonly number[]): boolean =>
    [0, 1, 2].every((i) => box(node)[i] <= low[i] && box(node)[i + 3] >= high[i]);
  for (const { node } of nodes) {
    if (!isLeaf(tree.links, node)) {
      for (const child of [leftChild(node), rightChild(tree.links, node)]) {
        expect(within(node, box(child).slice(0, 3), box(child).slice(3))).toBe(true);
      }
      continue;
    }
    const start = leafStart(tree.links, node);
    for (let t = start; t < start + leafCount(tree.links, node); t++) {
      seen[t]++;
      const facet = [0, 1, 2].map((k) => [...tree.corners.subarray(9 * t + 3 * k, 9 * t + 3 * k + 3)]);
      const low = [0, 1, 2].map((i) => Math.min(...facet.map((p) => p[i])));
      const high = [0, 1, 2].map((i) => Math.max(...facet.map((p) => p[i])));
      expect(within(node, low, high)).toBe(true);
    }
  }
  expect(seen.every((times) => times === 1)).toBe(true);
  expect([...tree.facetOf].sort((a, b) => a - b)).toEqual([...Array(count).keys()]);
  tree.facetOf.forEach((f, t) => {
    for (let k = 0; k < 3; k++) {
      for (let i = 0; i < 3; i++) {
        const x = mesh.positions[3 * mesh.triangles[3 * f + k] + i] - tree.centre[i];
        expect(tree.corners[9 * t + 3 * k + i]).toBe(Math.fround(x));
      }
    }
  });
});

test('the facets are not changed, and shared memory holds the same tree', () => {
  const facets = meshFacets(partOf(shapes.icosphere(10, 2)).mesh);
  const copy = { corners: facets.corners.slice(), facetOf: facets.facetOf.slice() };
  const own = buildPartTree(facets),
    shared = buildPartTree(facets, true);
  expect(facets).toEqual(copy);
  expect(shared.corners.buffer).toBeInstanceOf(SharedArrayBuffer);
  expect(shared.links.buffer).toBe(shared.boxes.buffer);
  expect([...shared.links]).toEqual([...own.links]);
  expect([...shared.corners]).toEqual([...own.corners]);
});
