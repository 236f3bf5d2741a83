import { firstEqualRows } from '../../core/distinct-rows.js';
import { rowsOf } from '../../core/rows-of.js';
import { buildTopology } from '../../part/topology.js';
import { trueFacets } from '../../part/true-facets.js';
import { buildPartTree } from '../../reach/build-part-tree.js';
import type { PartTree } from '../../reach/part-tree.js';
import type { ViewData } from '../../write/view-data.js';

/** Facets may miss the true surface by this share of the tolerance. */
const FACET_SHARE = 0.1;

/** The tree of a picture: its vertices lie on the true surface, its facets are cut until they do. */
export function pictureTree(view: ViewData, toleranceMm: number): PartTree {
  const { positions, triangles } = view;
  // A vertex of the picture belongs to one side of a crease; here both sides must know of each other.
  const words = new Int32Array(positions.slice().buffer);
  const first = firstEqualRows(words, 6);
  const mesh = { positions, triangles: triangles.map((v) => first[v]) };
  const normals = rowsOf(view.normals, triangles);
  const { twin } = buildTopology(mesh).topology;
  return buildPartTree(trueFacets({ mesh, normals, twin }, FACET_SHARE * toleranceMm));
}
