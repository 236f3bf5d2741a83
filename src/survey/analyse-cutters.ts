import { boundsOf, longestSide } from '../core/bounds.js';
import { tick, type Context } from '../core/context.js';
import type { Finding } from '../core/findings.js';
import { RAD_PER_DEG } from '../core/units.js';
import { cutterShape, type Cutter, type CutterShape } from '../cutter/catalogue.js';
import type { ReachAnswers } from '../reach/reach-engine.js';
import { reachProbe } from '../reach/reach-probe.js';
import { sampleReach } from '../reach/sample-reach.js';
import { reachBorders, unreachedArea } from '../reach/unreached-area.js';
import { BORDER_ACCURACY_MM } from './analyse-reach.js';
import { facetNormals } from '../part/facet-normals.js';
import { resumeSurface } from '../surface/surface-builder.js';
import type { SmoothPart } from '../part/sagittas.js';
import type { Surface } from '../part/types.js';
import {
  ballProfile,
  bullNoseProfile,
  flatProfile,
  offsetProfile,
  taperedBallProfile,
  type CutterProfile,
} from '../cutter/cutter-profile.js';

/** What one cutter that is no straight ball leaves. */
export interface CutterReach {
  readonly cutterId: string;
  readonly shape: CutterShape;
  readonly unreachedAreaMm2: number;
  readonly restVolumeMm3: number;
  readonly maxGapMm: number;
}

export interface CuttersInput {
  readonly zoned: { readonly surface: Surface; readonly labels: Uint8Array };
  readonly part: SmoothPart;
  readonly engine: ReachAnswers;
  readonly stockMm: number;
  readonly toleranceMm: number;
  /** beyond this many facets no more are split; default 2 million */
  readonly mostFaces?: number;
}

export interface CuttersAnalysis {
  /** in the order of the catalogue */
  readonly cutters: readonly CutterReach[];
  readonly findings: readonly Finding[];
}

/**
 * Facets that the cutter reaches are looked at in pieces no longer than this, mm, and this share of the part.
 */
const COARSEST_MM = 5;
const COARSEST_SHARE = 1 / 60;
const MOST_FACES = 2_000_000;

/** Shape of a catalogue's cutter; a tapered one widens up to its shank. */
export function profileOfCutter(cutter: Cutter): CutterProfile {
  switch (cutterShape(cutter)) {
    case 'ball':
      return ballProfile(cutter.RE);
    case 'flat':
      return flatProfile(cutter.DC / 2);
    case 'bull-nose':
      return bullNoseProfile(cutter.DC / 2, cutter.RE);
    case 'tapered-ball': {
      const radius = Math.max(cutter.DMM, cutter.DC) / 2;
      return taperedBallProfile(radius, cutter.RE, cutter.taperHalfAngleDeg * RAD_PER_DEG);
    }
  }
}

/**
 * What each cutter of the catalogue that is no straight ball reaches, each on its own: reach of mixed shapes
 * is not nested, so no cutter's answer says anything about another's.
 */
export async function analyseCutters(
  cutters: readonly Cutter[],
  input: CuttersInput,
  context: Context,
): Promise<CuttersAnalysis> {
  const others = cutters.filter((cutter) => cutterShape(cutter) !== 'ball');
  const profiles = others.map(profileOfCutter);
  const areas: number[] = [];
  const findings: Finding[] = [];
  for (const [i, profile] of profiles.entries()) {
    tick(context, 'other cutters', i / profiles.length);
    const { areaMm2, capped } = await unreachedBy(offsetProfile(profile, input.stockMm), input, context);
    areas.push(areaMm2);
    if (capped) findings.push(cappedFinding(others[i], input));
  }
  const items = Float64Array.from(profiles.keys()).filter((i) => areas[i] > 0);
  const rest =
    items.length === 0
      ? items
      : await input.engine.run(
          { kind: 'cutter-rest', items, profiles, stockMm: input.stockMm },
          context.signal,
        );
  if (others.length > 0) tick(context, 'other cutters', 1);
  const found = others.map((cutter, i): CutterReach => {
    const at = items.indexOf(i);
    return {
      cutterId: cutter.id,
      shape: cutterShape(cutter),
      unreachedAreaMm2: areas[i],
      restVolumeMm3: at < 0 ? 0 : rest[2 * at],
      maxGapMm: at < 0 ? 0 : Math.max(input.toleranceMm, rest[2 * at + 1]),
    };
  });
  return { cutters: found, findings };
}

const cappedFinding = ({ id }: Cutter, { mostFaces = MOST_FACES }: CuttersInput): Finding => ({
  code: 'reach.refinement-capped',
  severity: 'warning',
  count: 1,
  whereMm: null,
  message: `For ${id} the surface was refined to ${mostFaces} facets and no further: its border of reach is coarser than stated.`,
});

/**
 * Area of the machinable surface that a cutter, allowance included, does not reach; whether its refinement
 * was stopped.
 */
async function unreachedBy(
  profile: CutterProfile,
  { zoned, part, engine, toleranceMm, mostFaces = MOST_FACES }: CuttersInput,
  { signal }: Context,
): Promise<{ readonly areaMm2: number; readonly capped: boolean }> {
  const { engine: ofCutter, radii } = reachProbe(engine, profile);
  const build = resumeSurface(zoned.surface, zoned.labels);
  const coarseMm = Math.min(
    COARSEST_MM,
    COARSEST_SHARE * longestSide(boundsOf(zoned.surface.mesh.positions)),
  );
  const inner = signal ? { signal } : {};
  const samples = await sampleReach(
    build,
    ofCutter,
    {
      radii,
      coarseMm,
      part,
      isOpen: () => false,
      mostFaces,
      toleranceMm,
    },
    inner,
  );
  const reached = { ...build.finish(), ...samples, radii, part };
  const [border] = await reachBorders(reached, ofCutter, BORDER_ACCURACY_MM, inner);
  const { areas } = facetNormals(reached.surface.mesh);
  return {
    areaMm2: unreachedArea(reached, areas, border, new Float32Array(3 * areas.length)).totalMm2,
    capped: samples.capped,
  };
}
