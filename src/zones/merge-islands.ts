import { checkLengths } from '../core/check-lengths.js';
import { figure } from '../core/figures.js';
import { perFace } from '../core/array-types.js';
import { CLASSES } from '../core/classes.js';
import { finding, type Finding } from '../core/findings.js';
import { runningSum, type RunningSum } from '../core/sum.js';
import { edgeLength, facetCentre } from '../part/facet-geometry.js';
import type { Mesh, Topology } from '../part/types.js';
import { connectedRegions } from '../surface/connected-regions.js';

export interface MergeIslandsInput {
  readonly mesh: Mesh;
  readonly topology: Topology;
  /** (F) index into `CLASSES` */
  readonly classOf: Uint8Array;
  /** (F) mm² */
  readonly areas: Float64Array;
  /** Whether a class may lose an island to another, and take one in. */
  readonly mayMerge: (cls: number) => boolean;
  /** Connected regions below this area are islands, mm²; 0: none are. */
  readonly minRegionMm2: number;
  /** (F) the same for regions that consist of such facets alone, mm², >= `minRegionMm2` */
  readonly leastMm2: Float64Array;
}

/** Regions while they are being united. Entries of a region that is no longer its own `parent` are stale. */
type RegionGraph = ReturnType<typeof regionGraph>;

/** Borders whose lengths differ by less, relatively, are equally long: rounding must not decide. */
const EQUAL_LENGTH = 1e-9;

/**
 * Gives islands, connected regions smaller than `minRegionMm2`, the class that most of their border touches
 * (border length summed per class), smallest first, until no island can move. What the island then connects
 * becomes one region, so islands side by side grow together before they are judged again.
 *
 * @throws {RangeError} if the lengths do not agree
 */
export function mergeIslands(input: MergeIslandsInput) {
  const { topology, classOf, areas, mayMerge } = input;
  checkLengths('mergeIslands', { areas: [areas.length, classOf.length] });
  const { regionOfFace, count } = connectedRegions(topology, classOf);
  const graph = regionGraph(input, regionOfFace, count);
  const isIsland = (r: number) =>
    graph.parent[r] === r && graph.area[r] < graph.least[r] && mayMerge(graph.cls[r]);

  for (let changed = true; changed; ) {
    changed = false;
    const islands = Array.from({ length: count }, (_, r) => r).filter(isIsland);
    islands.sort((a, b) => graph.area[a] - graph.area[b] || a - b);
    for (const r of islands) {
      if (isIsland(r) && giveAway(graph, r, mayMerge)) changed = true;
    }
  }
  const merged = new Uint8Array(classOf.length);
  for (let f = 0; f < merged.length; f++) merged[f] = graph.cls[rootOf(graph.parent, regionOfFace[f])];
  return {
    /** (F) index into `CLASSES` */
    classOf: perFace(merged),
    /** `zones.island-merged`, with the area moved from class to class; `zones.island-kept` */
    findings: tellMoves(input, merged, regionOfFace, count, graph),
  };
}

function regionGraph(input: MergeIslandsInput, regionOfFace: Int32Array, count: number) {
  const {
    mesh,
    topology: { twin },
    classOf,
    areas,
    leastMm2,
  } = input;
  const sums = Array.from({ length: count }, runningSum);
  const cls = new Uint8Array(count);
  const least = new Float64Array(count).fill(Infinity);
  const borders = Array.from({ length: count }, () => new Map<number, number>());
  for (let f = 0; f < classOf.length; f++) {
    const region = regionOfFace[f];
    sums[region].add(areas[f]);
    cls[region] = classOf[f];
    least[region] = Math.min(least[region], leastMm2[f]);
    for (let k = 0; k < 3; k++) {
      const h = 3 * f + k;
      if (twin[h] < 0) continue;
      const other = regionOfFace[(twin[h] / 3) | 0];
      if (other === region) continue;
      borders[region].set(other, (borders[region].get(other) ?? 0) + edgeLength(mesh, h));
    }
  }
  const area = Float64Array.from(sums, (sum) => sum.value());
  return {
    parent: new Int32Array(count).map((_, r) => r),
    cls,
    area,
    /** Area below which it is an island, mm² */
    least,
    /** Length of the shared border by neighbour, mm; keys may be stale */
    borders,
  };
}

function rootOf(parent: Int32Array, region: number): number {
  let root = region;
  while (parent[root] !== root) root = parent[root];
  while (parent[region] !== root) [parent[region], region] = [root, parent[region]];
  return root;
}

/** Moves island `r` to the best neighbouring class; false if it has none. */
function giveAway(graph: RegionGraph, r: number, mayMerge: (cls: number) => boolean): boolean {
  const lengthOfClass = new Float64Array(CLASSES.length);
  const neighbours = new Set<number>();
  for (const [key, length] of graph.borders[r]) {
    const root = rootOf(graph.parent, key);
    if (root === r || !mayMerge(graph.cls[root])) continue;
    lengthOfClass[graph.cls[root]] += length;
    neighbours.add(root);
  }
  if (neighbours.size === 0) return false;
  let best = -1;
  lengthOfClass.forEach((length, cls) => {
    if (length > 0 && (best < 0 || length > lengthOfClass[best] * (1 + EQUAL_LENGTH))) best = cls;
  });
  if (best < 0) return false;
  graph.cls[r] = best;
  let into = r;
  for (const root of neighbours) {
    if (graph.cls[root] === best) into = unite(graph, into, root);
  }
  return true;
}

/** Unites two regions of one class under the one with more neighbours, which is returned. */
function unite(graph: RegionGraph, a: number, b: number): number {
  const [into, from] = graph.borders[a].size > graph.borders[b].size ? [a, b] : [b, a];
  graph.parent[from] = into;
  graph.area[into] += graph.area[from];
  graph.least[into] = Math.min(graph.least[into], graph.least[from]);
  for (const [key, length] of graph.borders[from]) {
    const root = rootOf(graph.parent, key);
    if (root !== into) graph.borders[into].set(root, (graph.borders[into].get(root) ?? 0) + length);
  }
  graph.borders[from].clear();
  return into;
}

interface Move {
  readonly regions: Set<number>;
  readonly area: RunningSum;
  readonly face: number;
}

function tellMoves(
  input: MergeIslandsInput,
  merged: Uint8Array,
  regionOfFace: Int32Array,
  count: number,
  graph: RegionGraph,
): Finding[] {
  const { mesh, classOf, areas, mayMerge, minRegionMm2 } = input;
  const moves = new Map<number, Move>();
  const keptFace = new Int32Array(count).fill(-1);
  for (let f = 0; f < merged.length; f++) {
    const root = rootOf(graph.parent, regionOfFace[f]);
    if (graph.area[root] < graph.least[root] && mayMerge(graph.cls[root]) && keptFace[root] < 0)
      keptFace[root] = f;
    if (merged[f] === classOf[f]) continue;
    const key = classOf[f] * CLASSES.length + merged[f];
    const move = moves.get(key) ?? { regions: new Set(), area: runningSum(), face: f };
    move.regions.add(regionOfFace[f]);
    move.area.add(areas[f]);
    moves.set(key, move);
  }
  const findings: Finding[] = moves.size === 0 ? [] : [movedFinding(moves, mesh, minRegionMm2)];
  const kept = [...keptFace].filter((f) => f >= 0);
  if (kept.length > 0) {
    findings.push(
      finding(
        'zones.island-kept',
        'info',
        `Regions smaller than ${minRegionMm2} mm² are kept: nothing beside them can take them in`,
        kept.length,
        facetCentre(mesh, kept[0]),
      ),
    );
  }
  return findings;
}

/** One finding for all islands, whatever they were: where most of it moved comes first. */
function movedFinding(moves: ReadonlyMap<number, Move>, mesh: Mesh, minRegionMm2: number): Finding {
  const sorted = [...moves].sort((a, b) => b[1].area.value() - a[1].area.value() || a[0] - b[0]);
  const told = sorted.map(
    ([key, { area }]) =>
      `${figure(area.value(), 2)} mm² of ${CLASSES[Math.floor(key / CLASSES.length)]} as ${CLASSES[key % CLASSES.length]}`,
  );
  return finding(
    'zones.island-merged',
    'info',
    `Islands smaller than ${minRegionMm2} mm² count as what is round them: ${told.join(', ')}`,
    sorted.reduce((sum, [, { regions }]) => sum + regions.size, 0),
    facetCentre(mesh, sorted[0][1].face),
  );
}
