import { longestSide } from '../core/bounds.js';
import { PartError } from '../core/errors.js';
import { significant } from '../core/figures.js';
import { LEAST_MM } from '../core/limits.js';
import type { MeshHealth } from '../part/health.js';
import type { PreparedMesh } from '../part/prepare.js';
import { selfCrossings } from '../part/self-crossings.js';

/**
 * A part may be so many tolerances long. Facets follow the true surface to a tenth of the tolerance, and coordinates of
 * single precision have no more than 2^24 steps.
 */
const MOST_TOLERANCES = 1e6;

/**
 * Refuses, before any work is done, a part out of proportion to what is asked of it.
 *
 * @throws {PartError} `part.too-large`, `part.too-small`, `part.no-plan`
 */
export function checkProportion(boundsMm: MeshHealth['boundsMm'], toleranceMm: number, where: string): void {
  const longest = longestSide(boundsMm);
  const refuse = (code: string, what: string, remedy: string): never => {
    throw new PartError({ code: `part.${code}`, where, what, remedy });
  };
  if (longest > MOST_TOLERANCES * toleranceMm) {
    refuse(
      'too-large',
      `${short(longest)} mm long, at most ${MOST_TOLERANCES} times the tolerance of ${toleranceMm} mm can be surveyed`,
      'check the unit of the file (--unit), or give a tolerance in proportion (--tolerance)',
    );
  }
  if (longest <= toleranceMm) {
    refuse(
      'too-small',
      `${short(longest)} mm long, no more than the tolerance of ${toleranceMm} mm`,
      'check the unit of the file (--unit), or give a tolerance in proportion (--tolerance)',
    );
  }
  const [width, depth] = [0, 1].map((axis) => boundsMm.max[axis] - boundsMm.min[axis]);
  if (Math.min(width, depth) < LEAST_MM) {
    const what = `${short(width)} by ${short(depth)} mm in plan: nothing of it faces the cutter`;
    refuse('no-plan', what, 'choose another tool axis (--axis)');
  }
}

/** In a regular mesh so many facets share an edge or a corner with one: whoever cuts through more cuts through no neighbours. */
const NEIGHBOURS = 12;

/**
 * Refuses facets that are no surface: most share no edge with another, and they cut through each other. They bound
 * nothing, and what is asked of them takes minutes.
 *
 * @throws {PartError} `part.no-surface`
 */
export function checkSurface({ mesh, health }: Pick<PreparedMesh, 'mesh' | 'health'>, where: string): void {
  const facets = mesh.triangles.length / 3;
  if (2 * health.shells <= facets) return;
  const others = selfCrossings(mesh).pairs.length / facets;
  if (others <= NEIGHBOURS) return;
  throw new PartError({
    code: 'part.no-surface',
    where,
    what: `no surface: most of its ${facets} facets share no edge with another, each cuts through ${significant(others, 2)} on average`,
    remedy: 'export the part again as one surface; "scarp check" tells what the file holds',
  });
}

/** Bytes that a check and a survey take at most for each triangle, measured from a quarter of a million on. */
export const BYTES_PER_TRIANGLE = { check: 500, survey: 1500 } as const;

/**
 * Refuses a part whose triangles take more memory than there is.
 *
 * @param memoryBytes left out: not known, nothing is refused
 * @throws {PartError} `memory.too-little`
 */
export function checkMemory(
  triangles: number,
  task: keyof typeof BYTES_PER_TRIANGLE,
  where: string,
  memoryBytes = Infinity,
): void {
  const needed = BYTES_PER_TRIANGLE[task] * triangles;
  if (needed <= memoryBytes) return;
  const gigabytes = (bytes: number): string => (bytes / 1e9).toFixed(1);
  throw new PartError({
    code: 'memory.too-little',
    where,
    what: `its ${triangles} triangles take about ${gigabytes(needed)} GB of memory, ${gigabytes(memoryBytes)} GB are there`,
    remedy: 'export it coarser, or use a machine with more memory',
  });
}

/** So many facets are followed where curved surfaces are cut finer than they come: about a gigabyte. */
const MOST_TRUE_FACETS = 4_000_000;

/**
 * Refuses curved surface that would take too many facets to be followed as near as asked.
 *
 * @param given facets of the part
 * @param foretold facets that it takes
 * @throws {PartError} `part.too-curved`
 */
export function checkFacets(given: number, foretold: number, toleranceMm: number, where: string): void {
  if (foretold - given <= MOST_TRUE_FACETS) return;
  throw new PartError({
    code: 'part.too-curved',
    where,
    what:
      `at a tolerance of ${toleranceMm} mm its curved surface takes about ${(foretold / 1e6).toFixed(0)} million ` +
      `facets, at most ${MOST_TRUE_FACETS / 1e6} million are made`,
    remedy:
      'give a larger tolerance (--tolerance), check the unit (--unit), leave out shells inside the part',
  });
}

const short = (mm: number): number => significant(mm, 4);
