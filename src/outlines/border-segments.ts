import { finding, type Finding } from '../core/findings.js';
import { addToList } from '../core/lists.js';
import { placeOf } from '../part/facet-geometry.js';
import type { Mesh, Topology } from '../part/types.js';
import { openEdgePieces } from './open-edge-pieces.js';

/** Directed border edges; the larger label lies on the left. */
export type BorderSegments = Readonly<ReturnType<typeof borderSegments>>;

/**
 * Edges between faces of different label, each once.
 *
 * Open edges are matched across cracks: pieces of the two sides within `crackMm` of each other count as one
 * edge. For each label the segments form closed curves whatever the mesh is like: the boundary of a set of
 * triangles is closed, and moving, splitting and cancelling edges keeps it so. No loose end can come up.
 *
 * @param labels (F) -1: none
 */
export function borderSegments(mesh: Mesh, { twin }: Topology, labels: ArrayLike<number>, crackMm: number) {
  const { triangles } = mesh;
  const out = {
    /** (S) vertices */
    from: [] as number[],
    to: [] as number[],
    /** (S) labels; `left` > `right`, -1 for none */
    left: [] as number[],
    right: [] as number[],
  };
  const add = (from: number, to: number, left: number, right: number) => {
    const keeps = left > right;
    out.from.push(keeps ? from : to);
    out.to.push(keeps ? to : from);
    out.left.push(keeps ? left : right);
    out.right.push(keeps ? right : left);
  };
  const end = (h: number) => triangles[h - (h % 3) + ((h + 1) % 3)];
  const open: number[] = [];
  for (let h = 0; h < twin.length; h++) {
    const label = labels[(h / 3) | 0];
    const t = twin[h];
    // Twins that were matched across a crack may have vertices of their own.
    if (t < 0 || triangles[t] !== end(h) || end(t) !== triangles[h]) {
      if (label >= 0) open.push(h);
      continue;
    }
    const other = labels[(t / 3) | 0];
    if (label > other) add(triangles[h], end(h), label, other);
  }
  const findings = open.length === 0 ? [] : addOpenEdges(mesh, open, labels, crackMm, add);
  return { ...out, findings };
}

type Add = (from: number, to: number, left: number, right: number) => void;

function addOpenEdges(
  mesh: Mesh,
  open: number[],
  labels: ArrayLike<number>,
  crackMm: number,
  add: Add,
): Finding[] {
  const { from, to, edge } = openEdgePieces(mesh, open, crackMm);
  const label = edge.map((h) => labels[(h / 3) | 0]);
  const vertices = mesh.positions.length / 3;
  const waiting = new Map<number, number[]>();
  from.forEach((a, s) => {
    addToList(waiting, a * vertices + to[s], s);
  });
  const partner = new Int32Array(from.length).fill(-1);
  // Equal labels first, so that a crack inside a region never becomes its border.
  for (const equal of [true, false]) {
    from.forEach((a, s) => {
      if (partner[s] >= 0) return;
      const other = waiting
        .get(to[s] * vertices + a)
        ?.find((t) => partner[t] < 0 && (!equal || label[t] === label[s]));
      if (other === undefined || other === s) return;
      partner[s] = other;
      partner[other] = s;
    });
  }
  const loose: number[] = [];
  from.forEach((a, s) => {
    if (partner[s] < 0) {
      loose.push(s);
      add(a, to[s], label[s], -1);
    } else if (label[s] > label[partner[s]]) {
      add(a, to[s], label[s], label[partner[s]]);
    }
  });
  return tell(mesh, edge, partner, loose, crackMm);
}

function tell(mesh: Mesh, edge: number[], partner: Int32Array, loose: number[], crackMm: number): Finding[] {
  const where = (s: number) => placeOf(mesh.positions, mesh.triangles[edge[s]]);
  const findings: Finding[] = [];
  const bridged = partner.findIndex((other) => other >= 0);
  if (bridged >= 0) {
    findings.push(
      finding(
        'outlines.crack-bridged',
        'info',
        `outlines run across cracks up to ${crackMm} mm wide as if the mesh were closed there`,
        partner.filter((other) => other >= 0).length / 2,
        where(bridged),
      ),
    );
  }
  if (loose.length > 0) {
    findings.push(
      finding(
        'outlines.open-border',
        'warning',
        'outlines follow open edges of the mesh: the surface ends there, so the border is not one of class',
        loose.length,
        where(loose[0]),
      ),
    );
  }
  return findings;
}
