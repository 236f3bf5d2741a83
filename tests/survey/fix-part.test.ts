import { beforeAll, describe, expect, test } from 'vitest';
import type { Plan } from '../../src/plan/plan.js';
import { resolveSetup, type SetupFile } from '../../src/resolve-setup.js';
import { checkPart, type Check } from '../../src/survey/check-part.js';
import { surveyPart } from '../../src/survey/survey.js';
import * as damage from '../support/damage.js';
import { FINISHING_ALONE } from '../support/pipeline.js';
import * as shapes from '../support/shapes.js';
import { binaryStl } from '../support/stl.js';

const check = (corners: Float64Array, axis?: [number, number, number]): Promise<Check> =>
  checkPart(
    binaryStl(corners),
    'part.stl',
    resolveSetup(undefined, axis ? { axis } : {}),
    {},
    { fixed: true },
  );
const codes = ({ findings }: Pick<Check, 'findings'>): string[] =>
  findings.map(({ code }) => code).filter((code) => code.startsWith('mesh.'));

const BALL = shapes.icosphere(10, 3);
const clean = shapes.measureSoup(shapes.rounded(BALL));
const FACETS = [40, 397, 905];
const dustAt = (f: number): Float64Array =>
  shapes.moved(shapes.icosphere(0.004, 0), [...damage.offFacet(BALL, f, 1)]);

const REPAIRED: [string, Float64Array, string[]][] = [
  ['facets missing', damage.punched(BALL, FACETS), ['mesh.open-edges']],
  ['a patch missing, all round a vertex', damage.punched(BALL, around(BALL, 300)), ['mesh.open-edges']],
  ['facets turned', damage.reversed(BALL, FACETS), ['mesh.flipped']],
  ['inside out', damage.reversed(BALL), ['mesh.inside-out']],
  ['facets twice', damage.repeated(BALL, FACETS), ['mesh.duplicate']],
  ['needles', damage.withNeedles(BALL, FACETS), ['mesh.degenerate']],
  ['cracks', damage.cracked(BALL, FACETS, 0.003), ['mesh.cracks-joined']],
  ['T-junctions', damage.halved(BALL, FACETS), ['mesh.edges-split']],
  ['dust', shapes.joined(BALL, ...FACETS.map(dustAt)), ['mesh.several-shells', 'mesh.dust']],
];

/** Facets that share the first corner of facet `f`. */
function around(soup: Float64Array, f: number): number[] {
  const [at] = damage.facetAt(soup, f);
  return Array.from({ length: soup.length / 9 }, (_, g) => g).filter((g) =>
    damage.facetAt(soup, g).some((p) => p.every((x, k) => x === at[k])),
  );
}

describe('what is repaired is gone when the part is read again', () => {
  test.each(REPAIRED)('%s', async (_, corners, expected) => {
    const found = await check(corners);
    expect(codes(found)).toEqual(expected);
    const { fixed } = found;
    expect(fixed?.findings.map(({ code }) => code)).toEqual([]);
    expect(fixed?.mesh).toMatchObject({ closed: true, openEdges: 0, nonManifoldEdges: 0, shells: 1 });
    // A patch is flat where the ball is round; nothing else moves by more than the cracks.
    expect(Math.abs((fixed?.mesh.volumeMm3 ?? 0) / clean.volume - 1)).toBeLessThan(2e-3);
    const again = await checkPart(fixed!.stl, 'part.stl', resolveSetup(undefined), {}, { fixed: true });
    expect(codes(again)).toEqual([]);
    expect(again.mesh.triangles).toBe(fixed?.mesh.triangles);
    // There is nothing left to do: the same facets, byte for byte but for the header.
    expect(again.fixed?.stl).toEqual(fixed?.stl);
  });

  test('all at once', async () => {
    const corners = REPAIRED.slice(2).reduce(
      (soup, [name]) => {
        if (name === 'facets turned') return damage.reversed(soup, [10, 500]);
        if (name === 'facets twice') return damage.repeated(soup, [20, 600]);
        if (name === 'dust') return shapes.joined(soup, dustAt(700));
        return soup;
      },
      damage.punched(BALL, FACETS),
    );
    const { fixed } = await check(damage.reversed(corners));
    expect(fixed).toMatchObject({ filledHoles: 3, droppedShells: 1, findings: [] });
    expect(fixed?.mesh.volumeMm3).toBeCloseTo(clean.volume, 3);
  });
});

test('what needs a decision stays, and is told', async () => {
  const bowl = damage.punched(
    BALL,
    Array.from({ length: BALL.length / 9 }, (_, f) => f).filter(
      (f) => damage.middleOf(damage.facetAt(BALL, f))[2] > 3,
    ),
  );
  const bodies = shapes.joined(bowl, shapes.moved(shapes.box(4, 4, 4), [8, 0, 0]));
  const found = await check(bodies);
  expect(codes(found)).toEqual([
    'mesh.open-edges',
    'mesh.several-shells',
    'mesh.unclosed-shells',
    'mesh.self-intersections',
    'mesh.overlapping-shells',
  ]);
  expect(found.fixed).toMatchObject({ filledHoles: 0, droppedShells: 0 });
  expect(codes(found.fixed!)).toEqual(codes(found));
});

test('the file keeps its own coordinates, whatever the set-up is', async () => {
  const { fixed, mesh } = await check(shapes.moved(shapes.box(30, 20, 10), [5, 6, 7]), [1, 0, 0]);
  expect(mesh.boundsMm.min[2]).toBe(0);
  expect(fixed?.mesh.boundsMm).toEqual({ min: [5, 6, 7], max: [35, 26, 17] });
});

// The survey repairs what it can on its way, and a fixed file is what it went on with.
describe('survey of the fixed file', () => {
  const SETUP: SetupFile = { cutters: { version: 1, cutters: [ball(8)] }, ...FINISHING_ALONE };
  const pocket = shapes.rounded(shapes.roundPocket({ segments: 24, filletFacets: 3 }));
  const broken = damage.cracked(
    damage.halved(damage.repeated(damage.reversed(pocket, [30, 31, 80]), [3, 50]), [60]),
    [100],
    0.002,
  );
  let inMemory: Plan, ofFile: Plan, filled: Plan, whole: Plan;
  const survey = async (bytes: Uint8Array): Promise<Plan> =>
    (await surveyPart(bytes, 'part.stl', resolveSetup(undefined, SETUP), {})).plan;
  const fixedBytes = async (corners: Float64Array): Promise<Uint8Array> => (await check(corners)).fixed!.stl;

  beforeAll(async () => {
    inMemory = await survey(binaryStl(broken));
    ofFile = await survey(await fixedBytes(broken));
    whole = await survey(binaryStl(pocket));
    const hole = shapes.joined(
      damage.punched(pocket, [smallest(pocket)]),
      shapes.moved(shapes.icosphere(0.01, 0), [3, 4, 30]),
    );
    filled = await survey(await fixedBytes(hole));
  }, 600_000);

  test.each(['classes', 'passes', 'reach', 'ladder', 'split', 'time', 'regions'] as const)(
    '%s: as of the part repaired in memory, and with hole and dust as of the sound part',
    (key) => {
      expectAlike(ofFile[key], inMemory[key], key, 1e-6);
      // Its facets come in another order, and reach and columns over rest (good to half a per cent) are sampled so.
      expectAlike(told(filled)[key], told(whole)[key], key, 0.02);
    },
  );

  test('what was repaired is told of the broken file only', () => {
    expect(codes(inMemory).length).toBeGreaterThan(2);
    expect(codes(ofFile)).toEqual([]);
    expect(codes(filled)).toEqual([]);
  });
});

/** A plan without what is one of many answers as good: which point of a ring-shaped place stands for it. */
function told(plan: Plan) {
  const { tightRegions, leftover, tooDeep, ...rest } = plan.reach;
  const areas = (places: readonly { readonly areaMm2: number }[]): number[] =>
    places.map(({ areaMm2 }) => areaMm2).sort((a, b) => b - a);
  return {
    ...plan,
    reach: { ...rest, tight: areas(tightRegions), left: areas(leftover), deep: areas(tooDeep) },
    ladder: plan.ladder.map(({ restRegions, ...one }) => ({ ...one, rest: areas(restRegions) })),
  };
}

function ball(DC: number) {
  return { id: `B${DC}`, DC, RE: DC / 2, APMX: DC, LU: 60, NOF: 2 };
}

/** The facet of the least area. */
function smallest(soup: Float64Array): number {
  let best = -1,
    least = Infinity;
  for (let f = 0; f < soup.length / 9; f++) {
    const { area } = shapes.measureSoup(soup.slice(9 * f, 9 * f + 9));
    if (area < least) [best, least] = [f, area];
  }
  return best;
}

/** The same but for so little, as a share of each number or of 1. */
function expectAlike(a: unknown, b: unknown, path: string, share: number): void {
  if (typeof a === 'number' && typeof b === 'number')
    expect(Math.abs(a - b), path).toBeLessThanOrEqual(share * Math.max(1, Math.abs(b)));
  else if (typeof a === 'object' && a !== null && typeof b === 'object' && b !== null) {
    expect(Object.keys(a), path).toEqual(Object.keys(b));
    for (const [k, one] of Object.entries(a))
      expectAlike(one, (b as Record<string, unknown>)[k], `${path}.${k}`, share);
  } else expect(a, path).toEqual(b);
}
