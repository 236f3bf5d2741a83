import { DEFAULT_CATALOGUE } from '../../../src/cutter/default-catalogue.js';
import type { Plan } from '../../../src/plan/plan.js';
import type { EngineMaker } from '../../../src/reach/reach-engine.js';
import { ballRadiiMm, resolveSetup, type Setup } from '../../../src/resolve-setup.js';
import { surveyPart, type Survey } from '../../../src/survey/survey.js';
import { readyPart } from '../../support/pipeline.js';
import { binaryStl } from '../../support/stl.js';
import { stlCorners } from '../facets.js';
import { verifySurvey } from '../verify-part.js';
import { likenessBreaks, type Likeness } from './likeness.js';
import { madePart, type MadePart } from './made-part.js';
import { areaOf, planeBreaks } from './planes.js';
import { machinableOf, sumBreaks, type Break } from './sums.js';

/** Turned otherwise the same facets come, rounded otherwise. */
export const TURNED = { name: 'turned', share: 0.01, leastShare: 5e-4, turnDeg: 31.7 } as const;
/** Four times as fine: what chords hide of the true surface. */
const FINER = { name: 'finer', share: 0.04, leastShare: 2e-3, finer: 4 } as const;

/** Of the default catalogue so many as a ladder needs on parts of all sizes; all of them take three times as long. */
const CUTTERS = ['ball-1.5', 'ball-3', 'ball-6', 'ball-10', 'ball-16', 'flat-6', 'flat-16'];
const cutters = DEFAULT_CATALOGUE.filter(({ id }) => CUTTERS.includes(id));

/** The same part once more. */
interface Other extends Likeness {
  readonly turnDeg?: number;
  readonly finer?: number;
}

export interface MadeChoice {
  /** of brute force, as in `verifyPart`; 0 points: none */
  readonly points: number;
  readonly columns: number;
  /** of the survey; cutters by default some of the default catalogue */
  readonly options?: Partial<Setup>;
  readonly makeEngine?: EngineMaker;
  /** what it is compared with; by default turned and finer */
  readonly others?: readonly Other[];
}

export interface MadeChecked {
  readonly part: MadePart;
  readonly facets: number;
  /** null: the survey crashed */
  readonly plan: Plan | null;
  readonly breaks: readonly Break[];
}

/** Surveys the part of a seed as made, turned and finer, and tells all that does not hold. */
export async function checkMade(seed: number, choice: MadeChoice): Promise<MadeChecked> {
  const part = madePart(seed);
  const bytes = binaryStl(part.corners());
  const told = { part, facets: (bytes.length - 84) / 50 };
  const first = await surveyed(part, bytes, choice);
  if (typeof first === 'string')
    return { ...told, plan: null, breaks: [{ invariant: 'no crash', detail: first }] };
  const corners = stlCorners(bytes);
  const breaks = [
    ...sumBreaks(first.plan, areaOf(corners)),
    ...knownBreaks(part, first),
    ...planeBreaks(corners, readyPart(corners).normals, part.planes),
  ];
  for (const like of choice.others ?? [TURNED, FINER])
    breaks.push(...(await likeBreaks(part, first, like, choice)));
  if (choice.points > 0) breaks.push(...bruteBreaks(first, bytes, choice));
  return { ...told, plan: first.plan, breaks };
}

/** A survey, or what it was refused for. */
async function surveyed(
  { block }: MadePart,
  bytes: Uint8Array,
  { options, makeEngine }: MadeChoice,
): Promise<Survey | string> {
  const wishes = resolveSetup(undefined, { unit: 'mm', stand: false, patches: true });
  const setup = { ...wishes, block, cutters, radiiMm: ballRadiiMm(cutters), ...options };
  try {
    return await surveyPart(bytes, 'part.stl', setup, {}, makeEngine);
  } catch (error) {
    return error instanceof Error
      ? (error.stack ?? error.message).split('\n').slice(0, 3).join(' ')
      : String(error);
  }
}

async function likeBreaks(
  part: MadePart,
  { plan }: Survey,
  like: Other,
  choice: MadeChoice,
): Promise<Break[]> {
  const other = await surveyed(part, binaryStl(part.corners(like.finer, like.turnDeg)), choice);
  return typeof other === 'string'
    ? [{ invariant: `${like.name}: no crash`, detail: other }]
    : likenessBreaks(plan, other.plan, like);
}

/** Balls that fit into all fillets and corners reach everything, even between chords. */
function knownBreaks({ reachedUpToMm, chordMm }: MadePart, { plan }: Survey): Break[] {
  const { byRadius, toleranceMm } = plan.reach;
  return byRadius
    .filter(({ radiusMm }) => radiusMm < (reachedUpToMm ?? 0) - chordMm)
    .filter(({ unreachedAreaMm2 }) => unreachedAreaMm2 > 1e-4 * machinableOf(plan))
    .map(({ radiusMm, unreachedAreaMm2 }) => ({
      invariant: 'reached by construction',
      detail: `R ${radiusMm} leaves ${unreachedAreaMm2.toPrecision(4)} mm² at ${toleranceMm}`,
    }));
}

function bruteBreaks(survey: Survey, bytes: Uint8Array, choice: MadeChoice): Break[] {
  return verifySurvey(survey, bytes, choice).flatMap(({ radiusMm, unreached, rest }) =>
    (['unreached', 'rest'] as const).flatMap((name) => {
      const found = name === 'rest' ? rest : unreached;
      if (found === null || found.agrees) return [];
      const { survey: own, flat, round, interval } = found;
      const figures = [own, flat, round].map((value) => value.toPrecision(4)).join(', ');
      return [
        {
          invariant: `brute force: ${name}`,
          detail: `R ${radiusMm}: ${figures} ±${interval.toPrecision(2)}`,
        },
      ];
    }),
  );
}
