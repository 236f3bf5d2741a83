import { tick, type Context } from '../core/context.js';
import type { Finding } from '../core/findings.js';
import type { Soup } from '../core/soup.js';
import { findHoles, type Hole } from '../part/holes.js';
import { orient } from '../part/orient.js';
import { prepareMesh } from '../part/prepare.js';
import { shellRoles } from '../part/shell-roles.js';
import { buildTopology } from '../part/topology.js';
import type { Mesh } from '../part/types.js';
import type { Plan } from '../plan/plan.js';
import { polygonTriangles } from '../read/polygon-triangles.js';
import { readPart } from '../read/read-part.js';
import { meshStl } from '../write/region-stl.js';

/** A part without the defects that can be repaired without asking. */
export interface FixedPart {
  /** binary STL, mm, z up */
  readonly stl: Uint8Array<ArrayBuffer>;
  readonly filledHoles: number;
  /** shells of dust left out */
  readonly droppedShells: number;
  /** what a check of it tells, in its own coordinates */
  readonly mesh: Plan['mesh'];
  readonly findings: readonly Finding[];
}

/** What fills one hole may open the way for another. */
const ROUNDS = 3;
/** The coordinates of the file are kept: nothing is turned or stood up. */
const AS_IT_LIES = { axis: [0, 0, 1], stand: false } as const;

/**
 * Repairs what is safe: facets left out that are there twice or have no area, cracks joined, facets and shells turned
 * outward, as every survey does; besides dust left out and small holes filled.
 *
 * @param soup is rounded to what STL holds before, so that nothing opens in the writing
 */
export async function fixPart(soup: Soup, context: Context): Promise<FixedPart> {
  let corners = Float64Array.from(soup.corners, Math.fround),
    mesh = meshOf(soup, corners, context),
    filledHoles = 0,
    droppedShells = 0;
  for (let round = 0; round < ROUNDS; round++) {
    const { dropped, filled, rest } = withoutDefects(mesh, soup.source.name);
    if (dropped + filled === 0) break;
    droppedShells += dropped;
    filledHoles += filled;
    corners = rest;
    mesh = meshOf(soup, corners, context);
  }
  const stl = meshStl(mesh, soup.source.name);
  const again = await readPart(stl, { name: soup.source.name });
  const { health, findings } = prepareMesh(again, { ...AS_IT_LIES, inDetail: true }, context);
  tick(context, 'files', 1);
  return { stl, filledHoles, droppedShells, mesh: health, findings };
}

const meshOf = (soup: Soup, corners: Float64Array, context: Context): Mesh =>
  prepareMesh({ ...soup, corners }, AS_IT_LIES, context).mesh;

/** A clean mesh less its dust, its small holes filled: how many of each, and corners (9 T). */
function withoutDefects(mesh: Mesh, name: string) {
  const report = buildTopology(mesh),
    oriented = orient(mesh, report);
  const { shellOf, count } = oriented.shells;
  const { dust } = shellRoles(oriented, report);
  const isDust = new Uint8Array(count);
  for (const shell of dust) isDust[shell] = 1;
  const small = findHoles(oriented, report).filter(
    ({ halves, isSmall }) => isSmall && isDust[shellOf[(halves[0] / 3) | 0]] === 0,
  );
  const covers = coversOf(mesh, small, name);
  const kept = mesh.triangles.filter((_, h) => isDust[shellOf[(h / 3) | 0]] === 0);
  const rest = new Float64Array(3 * kept.length + covers.length);
  kept.forEach((v, h) => {
    rest.set(mesh.positions.subarray(3 * v, 3 * v + 3), 3 * h);
  });
  rest.set(covers, 3 * kept.length);
  return { dropped: dust.length, filled: small.length, rest };
}

/** Corners of facets over holes, in the hole's own vertices. */
function coversOf({ positions, triangles }: Mesh, holes: readonly Hole[], name: string): Float64Array {
  // The other way round than the surface runs along them.
  const rings = holes.map(({ halves }) => halves.map((h) => triangles[h]).reverse());
  let end = 0;
  const ends = rings.map(({ length }) => {
    end += length;
    return end;
  });
  return polygonTriangles({ points: positions, corners: rings.flat(), ends }, name);
}
