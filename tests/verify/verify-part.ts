import { resolveSetup, type SetupFile } from '../../src/resolve-setup.js';
import { surveyPart, type Survey } from '../../src/survey/survey.js';
import { randomNumbers } from '../support/shapes/variants.js';
import { chordAllowances } from './chord-allowances.js';
import { buildFacets, stlCorners, type Facets } from './facets.js';
import { restVolume, type RestFound } from './rest-volumes.js';
import { samplePoints } from './sample-points.js';
import { unreachedAreas, type AreaFound } from './unreached-areas.js';

/** A figure of the survey may differ by this share, or by what the sampling cannot tell. */
const SHARE = 0.03;
const SEED = 20261128;

export interface VerifyChoice {
  /** surface points */
  readonly points: number;
  /** columns for rest volumes; 0: rest is not asked */
  readonly columns: number;
  /** options of the survey; radii by default those of its catalogue */
  readonly options?: SetupFile;
}

/** One quantity of one radius: the survey's figure and what was found by brute force. */
export interface Comparison {
  readonly survey: number;
  /** the facets at their word */
  readonly flat: number;
  /** the cutter let in by what chords stand out of round surfaces; as `flat` where that agrees already */
  readonly round: number;
  readonly interval: number;
  readonly agrees: boolean;
}

export interface RadiusVerified {
  readonly radiusMm: number;
  readonly unreached: Comparison;
  readonly rest: Comparison | null;
}

type Figure = readonly [value: number, interval: number];

/**
 * Surveys a part and asks unreached area and rest of every radius again, by brute force over the places of
 * the cutter. A mesh may be read in two ways, as it stands or as chords of round surfaces: a figure agrees if it
 * lies between the two, give or take 3 % or the sampling's 95 % interval, whichever is more.
 *
 * @param bytes binary STL, mm, tool axis +Z
 */
export async function verifyPart(
  bytes: Uint8Array,
  name: string,
  { points, columns, options = {} }: VerifyChoice,
  makeEngine?: Parameters<typeof surveyPart>[4],
): Promise<RadiusVerified[]> {
  const setup = resolveSetup(undefined, { unit: 'mm', stand: false, patches: true, ...options });
  return verifySurvey(await surveyPart(bytes, name, setup, {}, makeEngine), bytes, { points, columns });
}

/**
 * The same of a survey that was made already, with regions written out one by one.
 *
 * @param bytes what was surveyed
 */
export function verifySurvey(
  { plan, files }: Survey,
  bytes: Uint8Array,
  { points, columns }: Pick<VerifyChoice, 'points' | 'columns'>,
): RadiusVerified[] {
  const { toleranceMm } = plan.setup;
  const corners = stlCorners(bytes);
  const random = randomNumbers(SEED);
  const sample = samplePoints(machinable(files), points, random);
  const flat = buildFacets(corners);
  let asRound: Facets | undefined;
  const round = (): Facets => (asRound ??= buildFacets(corners, chordAllowances(corners)));
  const byRadius = plan.reach.byRadius;
  const radii = byRadius.map(({ radiusMm }) => radiusMm);
  const areas = areasOf(unreachedAreas(flat, sample, radii, toleranceMm));
  const differs = byRadius.some(({ unreachedAreaMm2 }, i) => !agree(unreachedAreaMm2, areas[i], areas[i]));
  const roundAreas = differs ? areasOf(unreachedAreas(round(), sample, radii, toleranceMm)) : areas;
  return byRadius.map(({ radiusMm, unreachedAreaMm2, restVolumeMm3 }, i) => {
    const volume = (facets: Facets): Figure =>
      volumeOf(restVolume(facets, sample, radiusMm, columns, random));
    return {
      radiusMm,
      unreached: compare(unreachedAreaMm2, areas[i], () => roundAreas[i]),
      rest: columns > 0 ? compare(restVolumeMm3 ?? NaN, volume(flat), () => volume(round())) : null,
    };
  });
}

const areasOf = (found: readonly AreaFound[]): Figure[] =>
  found.map(({ areaMm2, intervalMm2, openMm2 }) => [areaMm2, intervalMm2 + openMm2 / 2]);
const volumeOf = ({ volumeMm3, intervalMm3 }: RestFound): Figure => [volumeMm3, intervalMm3];

function agree(survey: number, [a, errorA]: Figure, [b, errorB]: Figure): boolean {
  const least = Math.min(a - Math.max(SHARE * a, errorA), b - Math.max(SHARE * b, errorB));
  const most = Math.max(a + Math.max(SHARE * a, errorA), b + Math.max(SHARE * b, errorB));
  return survey >= least && survey <= most;
}

function compare(survey: number, flat: Figure, readRound: () => Figure): Comparison {
  const round = agree(survey, flat, flat) ? flat : readRound();
  return { survey, flat: flat[0], round: round[0], interval: flat[1], agrees: agree(survey, flat, round) };
}

/** The facets of all regions that are to be machined, from the survey's own files. */
function machinable(files: ReadonlyMap<string, Uint8Array | string>): Float64Array {
  const parts: Float64Array[] = [];
  for (const [name, content] of files) {
    if (!/^region-\d+-(level|shallow|overlap|steep)\.stl$/.test(name) || typeof content === 'string')
      continue;
    parts.push(stlCorners(content));
  }
  const all = new Float64Array(parts.reduce((length, part) => length + part.length, 0));
  let at = 0;
  for (const part of parts) {
    all.set(part, at);
    at += part.length;
  }
  return all;
}
