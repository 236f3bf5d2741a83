import { runningSum } from '../core/sum.js';
import { doubleArea } from './facet-geometry.js';
import { findShells, type Shells } from './shells.js';
import { shellWindings } from './shell-nesting.js';
import type { TopologyReport } from './topology.js';
import type { Mesh } from './types.js';

/** A mesh whose facets all face outward, and what had to be turned. */
export interface Oriented {
  readonly mesh: Mesh;
  /** (F) 1 where a facet was turned */
  readonly turned: Uint8Array;
  readonly turnedFaces: number;
  /** Facets that disagreed with most of their shell. */
  readonly inconsistent: readonly number[];
  /** Whole shells that were inside out. */
  readonly insideOut: readonly number[];
  /** Half-edges at which no winding can agree (a one-sided band). */
  readonly conflicts: readonly number[];
  readonly shells: Shells;
  /** (S) mm² */
  readonly areas: Float64Array;
  /** (S) signed, mm³: below 0 hollows; 0 where a shell is open and encloses too little to tell in from out */
  readonly volumes: Float64Array;
  /** (S) how often the other shells enclose each; see `shellWindings` */
  readonly windings: Int32Array;
}

/**
 * An open shell is turned outward only if it encloses this much of a volume, relative to area^1.5 (a ball has
 * 0.094): a flat sheet has no inside.
 */
const CLEAR_VOLUME = 0.01;

/**
 * Turns facets so that neighbours agree and shells face outward.
 *
 * Within a shell, the smaller area gives way. A shell is then inside out if it encloses a negative volume,
 * unless it lies inside a shell that faces outward: that is a hollow. What lies inside an inside-out shell is
 * turned with it.
 *
 * @param report topology of `mesh`
 */
export function orient(mesh: Mesh, report: TopologyReport): Oriented {
  const shells = findShells(mesh, report);
  const turned = shells.parity.slice();
  const inconsistent = settleMajority(mesh, shells, turned);
  const { areas, volumes } = measureShells(mesh, shells, turned);
  let windings = shellWindings(mesh, shells, turned, volumes);
  const insideOut = shellsToTurn(volumes, windings);
  if (insideOut.length > 0) {
    const turn = new Uint8Array(shells.count);
    for (const s of insideOut) {
      turn[s] = 1;
      volumes[s] = -volumes[s];
    }
    for (let f = 0; f < turned.length; f++) turned[f] ^= turn[shells.shellOf[f]];
    windings = shellWindings(mesh, shells, turned, volumes);
  }
  let turnedFaces = 0;
  for (let f = 0; f < turned.length; f++) turnedFaces += turned[f];
  return {
    mesh:
      turnedFaces === 0 ? mesh : { positions: mesh.positions, triangles: turnFacets(mesh.triangles, turned) },
    turned,
    turnedFaces,
    inconsistent,
    insideOut,
    conflicts: shells.conflicts,
    shells,
    areas,
    volumes,
    windings,
  };
}

/** Keeps the first corner of a turned facet and swaps the others. */
function turnFacets(triangles: Uint32Array, turned: Uint8Array): Uint32Array {
  const out = triangles.slice();
  for (let f = 0; f < turned.length; f++) {
    if (turned[f] === 0) continue;
    out[3 * f + 1] = triangles[3 * f + 2];
    out[3 * f + 2] = triangles[3 * f + 1];
  }
  return out;
}

/** Makes the larger area of each shell the side that stays as read. */
function settleMajority(mesh: Mesh, shells: Shells, turned: Uint8Array): number[] {
  const disagreeing: number[] = [];
  if (!turned.includes(1)) return disagreeing;
  const balance = new Float64Array(shells.count),
    n = new Float64Array(3);
  for (let f = 0; f < turned.length; f++) {
    balance[shells.shellOf[f]] += (turned[f] === 1 ? -1 : 1) * doubleArea(mesh, f, n);
  }
  for (let f = 0; f < turned.length; f++) {
    if (balance[shells.shellOf[f]] < 0) turned[f] ^= 1;
    if (turned[f] === 1) disagreeing.push(f);
  }
  return disagreeing;
}

/**
 * Shells that, once their facets agree, have to be turned. A shell of negative volume is a hollow if it lies in
 * an outward-facing one, else it is inside out; one of positive volume is turned only if it lies inside an
 * inside-out one, as the hollow of a part written inside out.
 */
const shellsToTurn = (volumes: Float64Array, windings: Int32Array): number[] =>
  Array.from(volumes.keys()).filter(
    (s) => (volumes[s] < 0 && windings[s] <= 0) || (volumes[s] > 0 && windings[s] < 0),
  );

/** (S) areas, mm²; signed volumes, mm³: 0 where a shell is open and encloses too little to tell in from out. */
function measureShells(
  mesh: Mesh,
  shells: Shells,
  turned: Uint8Array,
): { readonly areas: Float64Array; readonly volumes: Float64Array } {
  const { positions, triangles } = mesh;
  const centres = new Float64Array(3 * shells.count);
  const corners = new Float64Array(shells.count);
  const areas = new Float64Array(shells.count),
    n = new Float64Array(3);
  for (let f = 0; f < turned.length; f++) {
    const s = shells.shellOf[f],
      area = doubleArea(mesh, f, n);
    areas[s] += 0.5 * area;
    corners[s] += 3 * area;
    for (let k = 0; k < 3; k++) {
      for (let i = 0; i < 3; i++) centres[3 * s + i] += area * positions[3 * triangles[3 * f + k] + i];
    }
  }
  for (let i = 0; i < centres.length; i++) centres[i] /= corners[Math.floor(i / 3)] || 1;
  const sums = Array.from({ length: shells.count }, runningSum);
  for (let f = 0; f < turned.length; f++) {
    const s = shells.shellOf[f];
    const six = sixVolumes(mesh, f, centres[3 * s], centres[3 * s + 1], centres[3 * s + 2]);
    sums[s].add(turned[f] === 1 ? -six : six);
  }
  const volumes = Float64Array.from(sums, (sum, s) => {
    const volume = sum.value() / 6;
    return shells.isOpen[s] === 1 && Math.abs(volume) < CLEAR_VOLUME * areas[s] ** 1.5 ? 0 : volume;
  });
  return { areas, volumes };
}

/** Six times the signed volume between facet `f` and the point x, y, z, mm³. */
export function sixVolumes(mesh: Mesh, f: number, x: number, y: number, z: number): number {
  const { positions: p, triangles } = mesh;
  const a = 3 * triangles[3 * f],
    b = 3 * triangles[3 * f + 1],
    c = 3 * triangles[3 * f + 2];
  const ax = p[a] - x,
    ay = p[a + 1] - y,
    az = p[a + 2] - z;
  const bx = p[b] - x,
    by = p[b + 1] - y,
    bz = p[b + 2] - z;
  const cx = p[c] - x,
    cy = p[c + 1] - y,
    cz = p[c + 2] - z;
  return ax * (by * cz - bz * cy) + ay * (bz * cx - bx * cz) + az * (bx * cy - by * cx);
}
