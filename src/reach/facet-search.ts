import {
  isLeaf,
  leafCount,
  leafStart,
  leftChild,
  rightChild,
  STACK_DEPTH,
  type PartTree,
} from './part-tree.js';

/**
 * Looks through a tree in its own order for a facet of which something holds. The nearest are not looked at first: what
 * wants the deepest or the nearest has a search of its own.
 *
 * @returns a function of what nodes may hold one, and of whether a facet is one. Holds scratch: one per thread.
 */
export function facetSearch({
  links,
}: PartTree): (mayHold: (node: number) => boolean, isOne: (facet: number) => boolean) => boolean {
  const stack = new Int32Array(STACK_DEPTH);
  return (mayHold, isOne) => {
    let top = 0;
    stack[top++] = 0;
    while (top > 0) {
      const node = stack[--top];
      if (!mayHold(node)) continue;
      if (!isLeaf(links, node)) {
        stack[top++] = leftChild(node);
        stack[top++] = rightChild(links, node);
        continue;
      }
      const start = leafStart(links, node),
        end = start + leafCount(links, node);
      for (let facet = start; facet < end; facet++) if (isOne(facet)) return true;
    }
    return false;
  };
}
