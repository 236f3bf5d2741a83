import { boundsOf, longestSide } from '../core/bounds.js';
import { tick, type Context } from '../core/context.js';
import { finding, type Finding } from '../core/findings.js';
import { RAD_PER_DEG } from '../core/units.js';
import { cutterShape, type Cutter, type CutterShape } from '../cutter/catalogue.js';
import type { ReachAnswers } from '../reach/reach-engine.js';
import { reachProbe } from '../reach/reach-probe.js';
import { mostAdded, sampleReach } from '../reach/sample-reach.js';
import { reachBorders, unreachedArea } from '../reach/unreached-area.js';
import { BORDER_ACCURACY_MM } from './analyse-reach.js';
import { restVolumes } from './rest-volumes.js';
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
  /** null: not computed */
  readonly restVolumeMm3: number | null;
  readonly maxGapMm: number | null;
}

export interface CuttersInput {
  readonly zoned: { readonly surface: Surface; readonly labels: Uint8Array };
  readonly part: SmoothPart;
  readonly engine: ReachAnswers;
  readonly stockMm: number;
  readonly toleranceMm: number;
  /** no more facets than this are added; left out: a million */
  readonly mostAdded?: number;
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
  const findings: Finding[] = [],
    found: CutterReach[] = [];
  for (const [i, profile] of profiles.entries()) {
    tick(context, 'other cutters', i / profiles.length);
    const { capped, ...left } = await leftBy(profile, input, context);
    found.push({ cutterId: others[i].id, shape: cutterShape(others[i]), ...left });
    if (capped) findings.push(cappedFinding(others[i], input));
  }
  if (others.length > 0) tick(context, 'other cutters', 1);
  return { cutters: found, findings };
}

const cappedFinding = ({ id }: Cutter, input: CuttersInput): Finding =>
  finding(
    'reach.refinement-capped',
    'warning',
    `For ${id} the surface was refined by ${mayAdd(input)} facets and no further: its border of reach is coarser than stated.`,
  );

const mayAdd = ({ zoned, mostAdded: asked }: CuttersInput): number => asked ?? mostAdded(zoned.labels.length);

/** What a cutter leaves of the machinable surface; whether its refinement was stopped. */
async function leftBy(
  profile: CutterProfile,
  input: CuttersInput,
  { signal }: Context,
): Promise<Omit<CutterReach, 'cutterId' | 'shape'> & { readonly capped: boolean }> {
  const { zoned, part, engine, stockMm, toleranceMm } = input;
  const grown = offsetProfile(profile, stockMm),
    { engine: ofCutter, radii } = reachProbe(engine, grown);
  const build = resumeSurface(zoned.surface, zoned.labels);
  const bounds = boundsOf(zoned.surface.mesh.positions);
  const coarseMm = Math.min(COARSEST_MM, COARSEST_SHARE * longestSide(bounds));
  const inner = signal ? { signal } : {};
  const samples = await sampleReach(
    build,
    ofCutter,
    {
      radii,
      coarseMm,
      part,
      isOpen: () => false,
      mostFaces: build.faceCount() + mayAdd(input),
      toleranceMm,
      mayBeLong: true,
    },
    inner,
  );
  const reach = { ...build.finish(), ...samples, radii, part };
  const [border] = await reachBorders(reach, ofCutter, BORDER_ACCURACY_MM, inner);
  const { areas } = facetNormals(reach.surface.mesh);
  const { totalMm2 } = unreachedArea(reach, areas, border, new Float32Array(3 * areas.length));
  const rest = { reach, profiles: [grown], engine, toleranceMm, topMm: bounds.max[2] };
  const [left] = totalMm2 > 0 ? await restVolumes(rest, [0], inner) : [];
  return {
    unreachedAreaMm2: totalMm2,
    restVolumeMm3: left?.volumeMm3 ?? 0,
    maxGapMm: left ? Math.max(toleranceMm, left.greatestMm) : 0,
    capped: samples.capped,
  };
}
