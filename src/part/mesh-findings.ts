import { mostOf } from '../core/bounds.js';
import type { Finding, Severity } from '../core/findings.js';
import { digits } from '../core/figures.js';
import { facetCentre, type Place } from './facet-geometry.js';
import type { Hole } from './holes.js';
import type { MeshHealth } from './health.js';
import type { Oriented } from './orient.js';
import type { SelfCrossings } from './self-crossings.js';
import type { ShellRoles } from './shell-roles.js';
import type { Stitched } from './stitch.js';
import type { TopologyReport } from './topology.js';
import type { Weld } from './weld.js';

export interface MeshHistory {
  /** (9 T) mm, the soup in the file's coordinates */
  readonly corners: Float64Array;
  /** 4 x 4, column by column: to set-up coordinates */
  readonly matrix: readonly number[];
  readonly welded: Weld;
  readonly stitched: Stitched;
  readonly oriented: Oriented;
  /** Topology in the end. */
  readonly report: TopologyReport;
  readonly holes: readonly Hole[];
  /** Vertices at which the surface touches itself. */
  readonly pinched: readonly number[];
  readonly roles: ShellRoles;
  /** null: not looked for */
  readonly crossings: SelfCrossings | null;
  readonly health: MeshHealth;
}

/** What a defect lies on: triangles of the soup, or facets, half-edges, vertices or shells of the mesh, or bare places. */
export type Marks =
  | { readonly on: 'triangles' | 'facets' | 'edges' | 'vertices' | 'shells'; readonly ids: readonly number[] }
  | { readonly on: 'places'; readonly places: readonly Place[] };

/** Findings of a mesh, each `mesh.` and one of these. */
export type DefectCode =
  | 'degenerate'
  | 'duplicate'
  | 'back-to-back'
  | 'cracks-joined'
  | 'edges-split'
  | 'flipped'
  | 'inside-out'
  | 'one-sided'
  | 'open-edges'
  | 'open-below'
  | 'non-manifold'
  | 'non-manifold-vertices'
  | 'several-shells'
  | 'unclosed-shells'
  | 'hollows'
  | 'nested-shells'
  | 'dust'
  | 'self-intersections'
  | 'overlapping-shells'
  | 'self-intersections-not-all';

/** One kind of defect, and all that shows it. */
export interface Defect extends Omit<Finding, 'whereMm'> {
  readonly marks: Marks;
}

/**
 * Everything that was repaired or stays doubtful, each with its meaning for the answer; nothing for a clean
 * mesh.
 */
export const meshDefects = (history: MeshHistory): Defect[] =>
  [
    ...dropDefects(history),
    ...stitchDefects(history),
    ...turnDefects(history),
    ...edgeDefects(history),
    ...shellDefects(history),
    ...crossingDefects(history),
  ].filter(({ count }) => count > 0);

const defect = (
  code: DefectCode,
  severity: Severity,
  marks: Marks,
  message: string,
  count = marksOf(marks),
): Defect => ({
  code: `mesh.${code}`,
  severity,
  message,
  count,
  marks,
});

const marksOf = (marks: Marks): number => (marks.on === 'places' ? marks.places : marks.ids).length;

const counted = (count: number, one: string, many = `${one}s`): string =>
  `${count} ${count === 1 ? one : many}`;

/** What a shell must be for a survey to tell what lies inside it; see `ShellRoles`. */
const CLOSED = 'closed, or open only at the bottom of the part';

const was = (count: number): string => (count === 1 ? 'was' : 'were');

function dropDefects({ welded: { degenerate, duplicate, backToBack } }: MeshHistory): Defect[] {
  const triangles = (ids: readonly number[]): Marks => ({ on: 'triangles', ids });
  return [
    defect(
      'degenerate',
      'info',
      triangles(degenerate),
      `${counted(degenerate.length, 'triangle')} without area left out; areas are not affected`,
    ),
    defect(
      'duplicate',
      'warning',
      triangles(duplicate),
      `${counted(duplicate.length, 'triangle')} present twice or more; the copies were left out, so that areas count once`,
    ),
    defect(
      'back-to-back',
      'warning',
      triangles(backToBack),
      `${counted(backToBack.length, 'triangle')} back to back with another, enclosing nothing, left out: inner walls, ` +
        'fins without thickness or facets written both ways round are no surface of the part',
    ),
  ];
}

function stitchDefects({ stitched }: MeshHistory): Defect[] {
  const { snapped, split, collapsedFaces, greatestGapMm, closedEdges } = stitched;
  const closed = `; ${counted(closedEdges, 'open edge')} ${was(closedEdges)} closed by that`;
  const gap = greatestGapMm < 1e-6 ? 'of mere rounding' : `up to ${digits(greatestGapMm, 2)} mm wide`;
  return [
    defect(
      'cracks-joined',
      'info',
      { on: 'places', places: snapped },
      `${counted(snapped.length, 'vertex', 'vertices')} joined to a neighbour across cracks ${gap}` +
        `${closed}${collapsedFaces > 0 ? `; ${counted(collapsedFaces, 'facet')} vanished` : ''}`,
    ),
    defect(
      'edges-split',
      'info',
      { on: 'places', places: split },
      `${counted(split.length, 'vertex', 'vertices')} found inside the open edge of a neighbour, which was split there, gaps ${gap}` +
        (snapped.length > 0 ? '' : closed),
    ),
  ];
}

function turnDefects({ oriented: { inconsistent, insideOut, conflicts } }: MeshHistory): Defect[] {
  return [
    defect(
      'flipped',
      'warning',
      { on: 'facets', ids: inconsistent },
      `${counted(inconsistent.length, 'facet')} faced the other way than the neighbours and ${was(inconsistent.length)} turned`,
    ),
    defect(
      'inside-out',
      'warning',
      { on: 'shells', ids: insideOut },
      `${counted(insideOut.length, 'shell')} inside out (walls would read as undercuts) and turned outward`,
    ),
    defect(
      'one-sided',
      'error',
      { on: 'edges', ids: conflicts },
      `${counted(conflicts.length, 'edge')} where the facets cannot agree on an outside; wall angles near there may be of the wrong side`,
    ),
  ];
}

function edgeDefects({ report, holes, pinched }: MeshHistory): Defect[] {
  const below = holes.filter(({ isBelow }) => isBelow),
    others = holes.filter(({ isBelow }) => !isBelow);
  const edges = (some: readonly Hole[]): number[] => some.flatMap(({ halves }) => halves);
  const across = mostOf(others.map(({ acrossMm }) => acrossMm));
  const { nonManifold, isOpen, mate } = report;
  const crowded: number[] = [];
  if (nonManifold.count > 0)
    for (let h = 0; h < mate.length; h++) if (isOpen[h] === 0 && mate[h] < 0) crowded.push(h);
  return [
    defect(
      'open-edges',
      'warning',
      { on: 'edges', ids: edges(others) },
      `${counted(edges(others).length, 'open edge')} around ${counted(others.length, 'hole')}, ` +
        `${others.length === 1 ? '' : 'the largest '}${digits(across)} mm across: there is no volume, and a cutter may ` +
        'seem to reach what missing facets would keep it from',
    ),
    defect(
      'open-below',
      'info',
      { on: 'edges', ids: edges(below) },
      `open below (${counted(below.length, 'opening')}, ${counted(edges(below).length, 'edge')}): no cutter comes from ` +
        'there, so a surface without a bottom is fine; there is no volume',
      below.length,
    ),
    defect(
      'non-manifold',
      'warning',
      { on: 'edges', ids: crowded },
      `${counted(nonManifold.count, 'edge')} shared by more than two facets: regions and smooth surfaces end there, ` +
        'and there is no volume',
      nonManifold.count,
    ),
    defect(
      'non-manifold-vertices',
      'info',
      { on: 'vertices', ids: pinched },
      `${counted(pinched.length, 'vertex', 'vertices')} at which the surface touches itself in a point: smooth surfaces ` +
        'end there, nothing else changes',
    ),
  ];
}

function shellDefects({ oriented: { mesh, shells: all }, roles, health }: MeshHistory): Defect[] {
  const { hollows, nested, unclosed, dust } = roles;
  const { count, firstFace } = all;
  const shells = (ids: readonly number[]): Marks => ({ on: 'shells', ids });
  /** A whole shell would hide what is found on it. */
  const beginning = (shell: number): Place => facetCentre(mesh, firstFace[shell]);
  const volumes = health.volumeMm3 === null ? 'areas' : 'areas and the volume';
  return [
    defect(
      'several-shells',
      'info',
      { on: 'places', places: count > 1 ? [beginning(1)] : [] },
      `${count} separate shells, taken together as one part; where they overlap, ${volumes} of the mesh count twice, and ` +
        `a survey hides what lies inside another that is ${CLOSED}`,
      count > 1 ? count : 0,
    ),
    defect(
      'unclosed-shells',
      'warning',
      { on: 'places', places: unclosed.map(beginning) },
      `${counted(unclosed.length, 'shell')} open above the bottom of the part, or parted at edges, that others may reach into: ` +
        'what lies inside cannot be told and may count as surface to be milled; close them where the part is modelled',
    ),
    defect(
      'hollows',
      'info',
      shells(hollows),
      `${counted(hollows.length, 'shell')} inside another, facing inward: hollows, taken off the volume; no cutter gets in`,
    ),
    defect(
      'nested-shells',
      'warning',
      shells(nested),
      `${counted(nested.length, 'shell')} inside another, facing outward: ${volumes} of the mesh count twice there, and ` +
        `a survey hides its surface if the other is ${CLOSED}; export the part without it, or turn it if a hollow is meant`,
    ),
    defect(
      'dust',
      'warning',
      shells(dust),
      `${counted(dust.length, 'shell')} less than a thousandth as long as the part: kept, so cutters stay clear of ` +
        `${dust.length === 1 ? 'it' : 'them'}; "scarp check --fix" leaves such dust out`,
    ),
  ];
}

/** What is told of facets that cut through each other: only where they were looked for. */
function crossingDefects({ crossings, oriented: { shells } }: MeshHistory): Defect[] {
  if (crossings === null) return [];
  const { pairs, isComplete } = crossings;
  const least = isComplete ? '' : 'at least ';
  const shellPairs = new Set<number>(),
    between: number[] = [];
  for (let i = 0; i < pairs.length; i += 2) {
    const [s, t] = [shells.shellOf[pairs[i]], shells.shellOf[pairs[i + 1]]];
    if (s === t) continue;
    shellPairs.add(Math.min(s, t) * shells.count + Math.max(s, t));
    between.push(pairs[i], pairs[i + 1]);
  }
  return [
    defect(
      'self-intersections',
      'warning',
      { on: 'facets', ids: pairs },
      `${least}${counted(pairs.length / 2, 'pair')} of facets that cut through each other or overlap: reach stays right, ` +
        'since every facet keeps the cutter off; within one shell areas, volume and outlines count what lies inside',
      pairs.length / 2,
    ),
    defect(
      'overlapping-shells',
      'warning',
      { on: 'facets', ids: between },
      `${least}${counted(shellPairs.size, 'pair')} of shells that cut through each other: a survey hides what lies inside ` +
        `one that is ${CLOSED}, the area and volume of the mesh count it; unite them where the part is modelled`,
      shellPairs.size,
    ),
    defect(
      'self-intersections-not-all',
      'info',
      { on: 'places', places: [] },
      'facets lie so densely over each other that not all pairs were looked at; there may be more that cut through each other',
      isComplete ? 0 : 1,
    ),
  ];
}
