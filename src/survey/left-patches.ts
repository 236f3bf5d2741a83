import { MACHINABLE_CLASSES } from '../core/classes.js';
import type { Context } from '../core/context.js';
import { mapTo } from '../core/map-to.js';
import { offsetProfile } from '../cutter/cutter-profile.js';
import { cutByReach, unreachedOf, wholeSurface, type SurfacePart } from '../reach/cut-by-reach.js';
import { NOTHING_TOLD } from '../reach/reach-middles.js';
import { reachProbe } from '../reach/reach-probe.js';
import { cornersByVertex, reachedVertices } from '../reach/reached-vertices.js';
import { patchesOf, tightPatches, type TightPatches } from '../reach/tight-patches.js';
import { AWAY } from '../zones/mark-away.js';
import { BORDER_ACCURACY_MM } from './analyse-reach.js';
import { cornersWhere, type Candidate, type CandidatesInput } from './ladder-candidates.js';
import { isMill } from './ladder-times.js';

/** What none of some cutters reaches; of nested ones, large to small, the last counts alone. */
export async function leftPatches(
  cutters: readonly Candidate[],
  isNested: boolean,
  { reach, setup, part: smooth, engine }: CandidatesInput,
  context: Context,
): Promise<TightPatches> {
  const { counts: ofLast, border } = cutters[cutters.length - 1];
  if (isNested && border)
    return tightPatches({ ...reach, own: { counts: ofLast, border } }, setup.toleranceMm);
  let part = wholeSurface(reach.surface, reach.labels);
  const options = {
    reachRadii: new Float64Array(reach.counts.length).fill(NaN),
    toldBorder: NOTHING_TOLD,
    around: false,
    smooth,
    accuracyMm: BORDER_ACCURACY_MM,
  };
  for (const own of cutters) {
    const { profile, counts, index } = own;
    const probe = reachProbe(engine, offsetProfile(profile, setup.stockMm));
    const known = mapTo(new Int8Array(counts.length), counts, (count) => (count > index ? 1 : 0));
    const isIts = worksOn(own, reach);
    const its = mapTo(new Uint8Array(part.labels.length), part.labels, (label, f) =>
      isIts(part.surface.parent[f]) ? label : label | OTHERS,
    );
    const cut = await cutByReach(
      { ...part, labels: its },
      probe,
      { ...options, known, isWhole: isMill(own) },
      context,
    );
    part = { ...cut, labels: unreachedOf(cut).labels };
    part.labels.forEach((label, f) => {
      if (label & OTHERS) part.labels[f] = cut.labels[f] & ~OTHERS;
    });
  }
  const member = mapTo(new Int32Array(part.labels.length), part.labels, (label) =>
    label < MACHINABLE_CLASSES ? 0 : -1,
  );
  const radii = mapTo(new Float64Array(part.origin.length), part.origin, (v) =>
    v < 0 ? NaN : reach.reachRadii[v],
  );
  await askBetweenBorders(radii, member, part, { reach, part: smooth, engine }, context);
  const ballReach = (v: number): number => radii[v];
  return patchesOf({ surface: part.surface, member, ballReach }, setup.toleranceMm);
}

/** Asks for the reach of balls at corners of facets that lie between borders alone: nothing is known of them. */
async function askBetweenBorders(
  radii: Float64Array,
  member: Int32Array,
  { surface, labels }: SurfacePart,
  { reach, part, engine }: Pick<CandidatesInput, 'reach' | 'part' | 'engine'>,
  context: Context,
): Promise<void> {
  const { triangles } = surface.mesh;
  const isKnown = (h: number): boolean => !Number.isNaN(radii[triangles[h]]);
  const faces = [...member.keys()].filter(
    (f) => member[f] === 0 && ![0, 1, 2].some((k) => isKnown(3 * f + k)),
  );
  const vertices = [...new Set(cornersWhere(faces, () => true).map((h) => triangles[h]))];
  const theirs = labels.map((label, f) => (member[f] === 0 ? label : label | AWAY));
  const questions = { surface, labels: theirs, at: cornersByVertex(surface.mesh), part };
  const found = await reachedVertices(vertices, questions, { engine, radii: reach.radii }, context);
  vertices.forEach((v, i) => {
    radii[v] = found[i];
  });
}

/** Added to the label of a facet that the cutter asked about does not work on. */
const OTHERS = 2 * AWAY;

/** Whether a cutter may work on a facet of the mesh: those for floors and walls are asked about there alone. */
function worksOn(own: Candidate, { surface, labels }: CandidatesInput['reach']): (parent: number) => boolean {
  if (!isMill(own)) return () => true;
  const parents = new Set(
    surface.parent.filter((_, f) => own.share[f] < 1 && labels[f] < MACHINABLE_CLASSES),
  );
  return (parent) => parents.has(parent);
}
