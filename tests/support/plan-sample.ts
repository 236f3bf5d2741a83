import type { Plan } from '../../src/plan/plan.js';
import { resolveSetup } from '../../src/resolve-setup.js';

const NO_AREA = { areaMm2: 0, planAreaMm2: 0, regions: 0 };

/** A small plan with every kind of entry, for tests of what is written; the figures are invented. */
// biome-ignore lint/complexity/noExcessiveLinesPerFunction: one plan, told whole.
export function samplePlan(change: Partial<Plan> = {}): Plan {
  const cube = {
    min: [0, 0, -1] as [number, number, number],
    max: [40, 30, 12.5] as [number, number, number],
  };
  const corner = {
    id: 0,
    reachRadiusMm: 0.4,
    areaMm2: 3.25,
    centreMm: [5, 6, 7] as [number, number, number],
    boundsMm: cube,
    depthMm: 5.5,
    cutterId: null,
    stickoutMm: null,
    exceedsUsable: null,
    lengthToDiameter: null,
    deflectionRatio: null,
  };
  const counts = {
    areaAboveScallopMm2: 12.5,
    theoreticalRaMm: 0.00128,
    theoreticalRzMm: 0.005,
    feedMmPerMin: 2000,
    passCount: 50,
    pieces: 52.5,
    links: 49,
    airMoves: 3.5,
    naiveMinutes: 3,
    dynamicMinutes: 3.4,
  };
  const held = {
    exceedsUsable: false,
    lengthToDiameter: 3.333,
    deflectionRatio: 1.3717,
    stickoutLimitedBy: 'holder',
    neckTouches: false,
  } as const;
  return {
    version: 1,
    source: {
      name: 'lid, left.stl',
      format: 'stl-binary',
      sha256: 'a'.repeat(64),
      bytes: 684,
      triangles: 12,
      unit: 'mm',
      unitFrom: 'default',
    },
    setup: { ...resolveSetup(undefined), placement: [1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1] },
    mesh: {
      triangles: 12,
      vertices: 8,
      areaMm2: 4150,
      volumeMm3: 15000,
      boundsMm: cube,
      closed: true,
      openEdges: 0,
      nonManifoldEdges: 0,
      degenerateTriangles: 0,
      duplicateTriangles: 0,
      flippedTriangles: 0,
      shells: 1,
    },
    findings: [
      {
        code: 'unit.assumed',
        severity: 'warning',
        message: 'No unit given: taken as mm.',
        count: 1,
        whereMm: null,
      },
    ],
    classes: {
      level: { areaMm2: 1200, planAreaMm2: 1200, regions: 1 },
      shallow: { areaMm2: 400.5, planAreaMm2: 350, regions: 2 },
      overlap: NO_AREA,
      steep: { areaMm2: 1750, planAreaMm2: 0, regions: 1 },
      undercut: NO_AREA,
      hidden: NO_AREA,
      underside: { areaMm2: 1200, planAreaMm2: 1200, regions: 1 },
      outside: NO_AREA,
    },
    passes: {
      waterline: {
        areaMm2: 1750,
        spacingMm: 0.25,
        pathLengthMm: 7000,
        maxScallopMm: 0.005,
        minutes: 3.5,
        ...counts,
      },
      raster: {
        areaMm2: 1600.5,
        spacingMm: 0.25,
        pathLengthMm: 6402,
        maxScallopMm: null,
        minutes: 3.2,
        directionDeg: 90,
        ...counts,
      },
    },
    regions: [
      {
        id: 0,
        class: 'steep',
        areaMm2: 1750,
        boundsMm: cube,
        rasterDirectionDeg: null,
        cutterId: 'ball-6',
        stickoutMm: 18,
        exceedsUsable: false,
        lengthToDiameter: 3,
        deflectionRatio: 1,
        rings: [
          [
            [0, 0],
            [40, 0],
            [40, 30],
          ],
          [
            [1, 0.33333333],
            [-0, 2],
            [3, 3],
          ],
        ],
      },
    ],
    reach: {
      toleranceMm: 0.02,
      smallestRadiusMm: 0.4,
      byRadius: [
        { radiusMm: 0.5, unreachedAreaMm2: 3.25, restVolumeMm3: 0.01, maxGapMm: 0.03 },
        { radiusMm: 3, unreachedAreaMm2: 150, restVolumeMm3: null, maxGapMm: 'unlimited' },
      ],
      byCutter: [],
      tightRegions: [
        { ...corner, reachRadiusMm: 'unlimited', cutterId: 'ball-1' },
        { ...corner, id: 1 },
      ],
      leftover: [corner],
    },
    ladder: [
      {
        cutterId: 'ball-6',
        DC: 6,
        RE: 3,
        stage: 'finish',
        finishedAreaMm2: 3200.5,
        unreachedAreaMm2: 150,
        minutes: 6.7,
        savesMinutes: 2.5,
        stickoutMm: 20,
        ...held,
        restAreaMm2: null,
        restVolumeMm3: null,
        restGreatestMm: null,
        restRegions: [],
      },
      {
        cutterId: 'ball-1',
        DC: 1,
        RE: 0.5,
        stage: 'finish',
        finishedAreaMm2: 146.75,
        unreachedAreaMm2: 3.25,
        minutes: 2.25,
        savesMinutes: null,
        ...held,
        exceedsUsable: true,
        stickoutMm: 7.5,
        restAreaMm2: 158.5,
        restVolumeMm3: 21.25,
        restGreatestMm: 0.875,
        restRegions: [
          { id: 0, areaMm2: 158.5, volumeMm3: 21.25, centreMm: [5, 6, 7], boundsMm: cube, greatestMm: 0.875 },
        ],
      },
    ],
    ladderLeftOut: [
      { cutterId: 'ball-2', reason: 'slower', detail: 'the job takes longer with it', extraMinutes: 0.25 },
    ],
    split: {
      angleDeg: 45,
      overlapDeg: 3,
      equalScallopDeg: 45,
      fastestDeg: 52,
      curve: [
        { angleDeg: 40, minutes: 7 },
        { angleDeg: 52, minutes: 6.5 },
      ],
      cutterId: 'ball-6',
      gain: {
        over45: { minutes: 6.7, share: 0.0299 },
        overWaterline: { minutes: null, share: null },
        overRaster: { minutes: 13, share: 0.5 },
        followingMinutes: 5,
      },
    },
    time: {
      finishingMinutes: 8.95,
      toolChangeMinutes: 0.3,
      totalMinutes: 9.25,
      cost: 41.25,
      setUpMinutes: 30,
      lowMinutes: 7.01,
      highMinutes: 11.49,
      lowCost: 39,
      highCost: 43.5,
      currency: '',
      rangeBasis: 'not calibrated: 25 % either way is assumed',
      assumptions: ['Feed 2000 mm/min.'],
    },
    cautions: ['A planning aid, about 25 % either way: verify by simulation and at the machine.'],
    ...change,
  };
}
