import { LEAST_PIECE_MM2 } from '../core/limits.js';
import { z } from 'zod';
import { publishedSchema } from '../core/check-input.js';
import { byClass, CLASSES } from '../core/classes.js';
import type { DeepReadonly } from '../core/deep-readonly.js';
import { SEVERITIES } from '../core/findings.js';
import { FORMATS, UNIT_ORIGINS } from '../core/source.js';
import { FILE_UNITS } from '../core/units.js';
import { CUTTER_SHAPES, STAGES } from '../cutter/catalogue.js';
import { AXIS_VECTOR, setupSchema } from '../resolve-setup.js';

const amount = z.number().min(0);
const count = z.int().min(0);
/** null: not computed. */
const orNotComputed = <T extends z.ZodType>(schema: T) => schema.nullable();
const point = z.tuple([z.number(), z.number(), z.number()]).describe('x, y, z, mm, in the set-up');
const bounds = z.object({ min: point, max: point });
const limit = z.union([amount, z.literal('unlimited')]);

const rings = z
  .array(z.array(z.tuple([z.number(), z.number()])))
  .describe(
    'closed rings in plan, mm, y up; the first point is not repeated; outer rings run counter-clockwise, ' +
      'holes clockwise',
  );

const source = z.object({
  name: z.string().describe('file name without its folder'),
  format: z.enum(FORMATS),
  sha256: z.string().regex(/^[0-9a-f]{64}$/),
  bytes: count,
  triangles: count.describe('in the file'),
  unit: z.enum(FILE_UNITS),
  unitFrom: z.enum(UNIT_ORIGINS).describe('why that unit'),
});

const placedSetup = z.object({
  ...setupSchema.shape,
  axis: AXIS_VECTOR,
  block: z
    .union([
      z.enum(['box', 'cylinder']),
      z.tuple([amount, amount, amount]),
      z.object({ name: z.string(), triangles: count }),
    ])
    .describe('as given; of a mesh its name'),
  placement: z
    .array(z.number())
    .length(16)
    .describe(
      '4 x 4 matrix, row by row, acting on columns: file coordinates in mm to set-up coordinates in mm',
    ),
});

const mesh = z.object({
  triangles: count,
  vertices: count,
  areaMm2: amount,
  volumeMm3: orNotComputed(z.number()),
  boundsMm: bounds,
  closed: z.boolean(),
  openEdges: count,
  nonManifoldEdges: count,
  degenerateTriangles: count,
  duplicateTriangles: count,
  flippedTriangles: count,
  shells: count,
});

const finding = z.object({
  code: z.string(),
  severity: z.enum(SEVERITIES),
  message: z.string(),
  count,
  whereMm: point.nullable().describe('one place where it can be seen'),
});

const classTotals = z.object({
  areaMm2: amount,
  planAreaMm2: amount.describe(
    'area that the rings of its regions enclose in plan, region by region: what lies over itself ' +
      'counts once, a vertical wall not at all',
  ),
  regions: count,
});
const classes = z.object(byClass(() => classTotals)).describe('the areas add up to the area of the mesh');

const apart = z.object({
  regionIds: z.array(z.int()),
  areaMm2: amount.describe('of those regions'),
  restAreaMm2: amount.describe('of the other regions that the pass cuts'),
  stepMm: amount.describe('that the worst of them needs'),
  restStepMm: amount.describe('that all others allow'),
  savesMinutes: amount.describe('against one step for all'),
});

const pass = z.object({
  areaMm2: amount.describe('that the cutter of the passes reaches; both cut the overlap'),
  spacingMm: amount.describe('least stepdown of the waterline, least stepover of the raster'),
  widestSpacingMm: amount.describe('the greatest: each piece has a step of its own, set by its worst place'),
  pathLengthMm: amount.describe("of the cutter's centre, on which the feed acts"),
  maxScallopMm: orNotComputed(amount).describe(
    'null: somewhere the passes do not meet, as beside a hole or on a tight rim',
  ),
  minutes: amount.describe(
    'of both passes together those of their cutter; where flat or bull-nose cutters ran before, less its rest there',
  ),
  areaAboveScallopMm2: amount.describe(
    'where the scallop is higher than asked: on ground that bulges across the passes',
  ),
  theoreticalRaMm: orNotComputed(amount).describe(
    'theoretical: of the scallops alone, on a plane as flat to the pass as its worst place; a real surface is rougher',
  ),
  theoreticalRzMm: orNotComputed(amount).describe('likewise'),
  cutApart: orNotComputed(apart).describe(
    'regions that are cut apart at smaller steps, so that the others take larger ones; null: that would save nothing',
  ),
  feedMmPerMin: amount,
  passCount: amount.describe(
    'levels or planes; a mean over where the first lies, hence a fraction, as the next three',
  ),
  pieces: amount.describe('separate cuts'),
  links: amount.describe('steps from one cut to the next'),
  airMoves: amount.describe('moves through the air, each with an approach'),
  naiveMinutes: amount.describe('length over feed: a lower bound'),
  dynamicMinutes: amount.describe(
    "with stops, slow-down on curves, links and air moves, before the shop's own factor",
  ),
});
const constant = pass.omit({ cutApart: true }).extend({
  areaMm2: amount.describe('small curved patches that the cutter of the passes reaches'),
  spacingMm: amount.describe('between lines, along the surface'),
});
const raster = pass.extend({
  directionDeg: z.number().describe('of the passes in plan, from +X towards +Y'),
});

/** What a cutter of the ladder does. */
export const ROLES = ['floors and walls', 'passes', 'rest'] as const;
const milled = pass
  .omit({
    maxScallopMm: true,
    areaAboveScallopMm2: true,
    theoreticalRaMm: true,
    theoreticalRzMm: true,
    cutApart: true,
    widestSpacingMm: true,
  })
  .extend({
    cutterId: z.string(),
    areaMm2: amount.describe('that this cutter finishes'),
    spacingMm: amount.describe('side step on floors, axial step along walls'),
    minutes: amount,
  });

/** Least length of a cutter out of its holder. */
const stickout = {
  stickoutMm: orNotComputed(amount).describe('least length out of the holder that touches nothing'),
  exceedsUsable: orNotComputed(z.boolean()).describe('more than LU: a longer cutter of that size is needed'),
  lengthToDiameter: orNotComputed(amount).describe('stickout over DC'),
  deflectionRatio: orNotComputed(amount).describe(
    'tip deflection under the same force over that at a stickout of 3 DC: a ratio, no limit',
  ),
};

/** What a cutter does in a region. */
export const WORK = ['floors', 'walls', 'waterline', 'raster', 'constant', 'rest'] as const;
const regionWork = z.object({
  cutterId: z.string(),
  pass: z
    .enum(WORK)
    .describe(
      'floors, walls: flat and bull-nose cutters; constant: lines at one distance along the surface; rest: a cutter that ' +
        'follows what those before leave',
    ),
  minutes: z.number().positive(),
});

const region = z.object({
  id: z.int(),
  class: z.enum(CLASSES),
  areaMm2: amount,
  boundsMm: bounds,
  rasterDirectionDeg: orNotComputed(z.number()).describe(
    'fastest direction of the raster for this region by itself',
  ),
  cutterId: z
    .string()
    .nullable()
    .describe('first cutter of the ladder that works there; null: none, or not machined'),
  laterCutterIds: z
    .array(z.string())
    .describe('cutters of the ladder that finish more of it, in order of use'),
  work: z
    .array(regionWork)
    .describe('minutes in this region; over all regions they add up to those of the ladder'),
  ...stickout,
  rings,
});

const leftByCutter = {
  unreachedAreaMm2: amount,
  restVolumeMm3: orNotComputed(amount),
  maxGapMm: limit.describe('deepest rest; unlimited where the cutter finds no free place at all'),
};

const tightRegion = z.object({
  id: z.int(),
  reachRadiusMm: limit.describe(
    'largest ball that reaches all of it; 0: none, as in a sharp corner or beside an overhang',
  ),
  areaMm2: amount,
  centreMm: point,
  boundsMm: bounds,
  depthMm: amount.describe('below the highest point of the part'),
  cutterId: z
    .string()
    .nullable()
    .describe('cutter of the ladder after which nothing is left of it; null: none reaches all of it'),
  ...stickout,
});

const deepPlace = z.object({
  id: z.int(),
  areaMm2: amount,
  centreMm: point,
  boundsMm: bounds,
  depthMm: amount.describe('below the highest point of the part'),
  cutterId: z.string().describe('smallest cutter of the catalogue that all of it takes, were it long enough'),
  ...stickout,
});

/** Why a place is not milled, or not by what the catalogue has. */
export const NOT_MILLED = ['too-tight', 'too-deep', 'too-short', 'undercut', 'hidden'] as const;
export type NotMilledKind = (typeof NOT_MILLED)[number];
/** What makes it. */
export const REMEDIES = [
  'ball',
  'flat-end',
  'longer-cutter',
  'hand',
  'edm',
  'split-insert',
  'set-up',
  'side-action',
] as const;

const remedy = z.object({
  kind: z.enum(REMEDIES),
  radiusMm: orNotComputed(amount).describe('of the ball that gets into three quarters of it'),
  reachMm: orNotComputed(amount).describe('length out of the holder that it takes'),
  lengthToDiameter: orNotComputed(amount),
  wayUp: z.string().nullable().describe('of the other set-up, as --axis takes it; null: of other kinds'),
});

const notMilledPlace = z.object({
  kind: z
    .enum(NOT_MILLED)
    .describe(
      'too-tight: no cutter fits; too-deep: one fits, but sticks out more than mostLengthToDiameter; too-short: the ' +
        'cutter that finishes it must stick out more than its LU, and is in the ladder as if it could',
    ),
  placeId: z
    .int()
    .describe('in reach: of leftover, tooDeep or tightRegions, by kind; of a region if isRegion'),
  isRegion: z.boolean().describe('placeId is that of a region: all of it is told, however little is meant'),
  areaMm2: amount,
  centreMm: point,
  boundsMm: bounds,
  depthMm: amount.describe('below the highest point of the part'),
  radiusMm: orNotComputed(limit).describe('largest ball that gets into all of it; 0: none'),
  cutterId: z.string().nullable().describe('cutter that would make it, were it long enough'),
  stickoutMm: orNotComputed(amount).describe('that it takes'),
  remedies: z.array(remedy).min(1).describe('common practice, no source; the first that serves first'),
});

const reach = z.object({
  toleranceMm: amount,
  smallestRadiusMm: orNotComputed(limit).describe(
    'ball radius that the tightest machinable place takes; 0: none, as in a sharp corner or beside an overhang',
  ),
  byRadius: z
    .array(z.object({ radiusMm: z.number().positive(), ...leftByCutter }))
    .describe('balls, ascending'),
  byCutter: z
    .array(
      z.object({
        cutterId: z.string(),
        shape: z.enum(CUTTER_SHAPES),
        ...leftByCutter,
        maxGapMm: orNotComputed(leftByCutter.maxGapMm),
      }),
    )
    .describe(
      'the cutters of the catalogue that are no straight balls; flat and bull-nose cutters that floors and walls may be ' +
        'left to: of floors and walls alone, volume and gap not computed',
    ),
  tightRegions: z.array(tightRegion).describe('what the finishing cutter does not reach'),
  leftover: z.array(tightRegion).describe('what no cutter of the catalogue reaches'),
  crumbs: z
    .object({ count: z.int(), areaMm2: amount })
    .describe(`of that, and of what is too deep, pieces under ${LEAST_PIECE_MM2} mm²: in no list`),
  tooDeep: z
    .array(deepPlace)
    .describe('what cutters get into, but sticking out more than mostLengthToDiameter; largest first'),
});

const restRegion = z.object({
  id: z.int(),
  areaMm2: amount,
  volumeMm3: amount.describe('taken away there, of what the cutters before leave'),
  centreMm: point,
  boundsMm: bounds,
  greatestMm: orNotComputed(amount).describe('what the cutters before leave there at most'),
});

const rung = z.object({
  cutterId: z.string(),
  DC: z.number(),
  RE: z.number(),
  stage: z.enum(STAGES),
  role: z
    .enum(ROLES)
    .describe('floors and walls; waterline and raster over the rest of the surface; what those before leave'),
  finishedAreaMm2: amount.describe('reached by this cutter and by none before it'),
  unreachedAreaMm2: amount.describe('left for the cutters after it'),
  restAreaMm2: orNotComputed(amount).describe(
    'what it must clean after the cutters before it: it reaches that, and none of ' +
      'them does if taken larger by blendShare; null: it is the first',
  ),
  restVolumeMm3: orNotComputed(amount).describe('of what the cutters before leave, taken away by this one'),
  restGreatestMm: orNotComputed(amount).describe(
    'what the cutters before leave at most where it is to clean',
  ),
  restRegions: z.array(restRegion).describe('largest first'),
  minutes: amount,
  ...stickout,
  stickoutLimitedBy: z
    .enum(['holder', 'shank', 'cutting-edge'])
    .describe('cutting-edge: nothing asks for more than APMX'),
  neckTouches: z.boolean().describe('a neck wider than DC would touch the part'),
  savesMinutes: orNotComputed(z.number()).describe(
    'what the job takes longer without it; null: some area would stay unreached, or nothing was compared',
  ),
  without: orNotComputed(
    z.object({
      cutterIds: z.array(z.string()).describe('in order of use'),
      extraMinutes: z.number().describe('below 0: shorter, and more is left'),
      leftAreaMm2: amount.describe('beyond what the chosen ladder leaves; 0: not worth a change of cutter'),
      leftVolumeMm3: orNotComputed(amount),
    }),
  ).describe('the best ladder without this cutter; null: none of the others may begin'),
});

export const LEFT_OUT_REASONS = [
  'saves-too-little',
  'reaches-nothing-more',
  'too-slender',
  'barred',
  'below-first-share',
  'same-radius',
  'no-ball',
  'not-for-finishing',
] as const;
export type LeftOutReason = (typeof LEFT_OUT_REASONS)[number];

const leftOutCutter = z.object({
  cutterId: z.string(),
  reason: z
    .enum(LEFT_OUT_REASONS)
    .describe(
      'saves-too-little: less than leastGainMinutes, its change counted; too-slender: more than mostLengthToDiameter; ' +
        'barred: more than its LU; both where it is needed',
    ),
  detail: z.string().describe('the reason with its figures'),
  extraMinutes: orNotComputed(z.number()).describe(
    'what the job would take longer in the best ladder with it',
  ),
  ownMinutes: orNotComputed(amount).describe('of that ladder: its cutting and the change to it'),
  finishedAreaMm2: orNotComputed(amount).describe('what it would finish there'),
  insteadOfIds: z.array(z.string()).describe('cutters of the ladder that are not in that one'),
  addedMinutes: orNotComputed(z.number()).describe(
    'what the job would take longer with it added to the ladder as it is',
  ),
});

const gain = z.object({
  minutes: orNotComputed(amount).describe('null: it would take a step of 0, or leave surface uncut'),
  share: orNotComputed(z.number()).describe('of those minutes, saved by the fastest split'),
});

const splitCurve = z.object({
  angleDeg: z.number(),
  overlapDeg: z.number(),
  equalScallopDeg: orNotComputed(z.number()).describe('where the chosen steps give equal scallops'),
  fastestDeg: orNotComputed(z.number()).describe(
    'of what the first ball is left; null: it is left nothing, or would stand still at any split',
  ),
  curve: z
    .array(z.object({ angleDeg: z.number(), minutes: amount }))
    .describe('cutting alone, no links and air moves; angles at which a pass would stand still are left out'),
  cutterId: z.string().describe('ball that the curve is for'),
  gain: z
    .object({
      over45: gain,
      overWaterline: gain.describe('one waterline for everything'),
      overRaster: gain.describe('one raster for everything'),
      followingMinutes: orNotComputed(amount).describe(
        'perfectly even passes over everything: a lower bound',
      ),
    })
    .describe('the fastest split against a split at 45 degrees and against a single strategy'),
});

const time = z.object({
  finishingMinutes: amount,
  toolChangeMinutes: amount,
  totalMinutes: amount,
  cost: orNotComputed(amount).describe('likely, with set-up and wear, in the currency of the machine file'),
  setUpMinutes: amount.describe('not in totalMinutes'),
  lowMinutes: amount.describe('of totalMinutes'),
  highMinutes: amount,
  lowCost: amount,
  highCost: amount,
  currency: z.string(),
  rangeBasis: z.string().describe('where the range comes from'),
  assumptions: z.array(z.string()),
});

const wayUp = z.object({
  axis: AXIS_VECTOR,
  name: z.string().describe('as --axis takes it'),
  cutMm2: amount.describe('of toCutMm2, that a tool coming from there sees'),
  undercutMm2: amount.describe('leans over'),
  hiddenMm2: amount.describe('has part of the solid above it'),
  stickoutMm: orNotComputed(amount).describe(
    'at most: heights are taken from within twice the widest holder',
  ),
  minutes: amount.describe('of even passes of cutterId over cutMm2, as if it got in everywhere'),
});
const waysUp = z
  .object({
    toCutMm2: amount.describe('surface that is not flat on a side of the block round the part'),
    cutterId: z.string().describe('cutter of middle size, for which all minutes are told'),
    ways: z.array(wayUp).min(1).describe('the best first, then by cutMm2'),
    surveyed: count.describe('index in ways'),
    isChosen: z.boolean().describe('the best was taken, none was asked for'),
    second: z
      .object({ way: count.describe('index in ways'), togetherMm2: amount, neitherMm2: amount })
      .nullable()
      .describe('what a second set-up adds to the best one; null: none adds a hundredth of toCutMm2'),
  })
  .describe('a coarse look at the part from each side');

const release = z.object({
  minDraftDeg: z.number(),
  wallsMm2: amount.describe('between upright and less than the asked draft'),
  undercutsMm2: amount.describe('hold a moulding back'),
  outerSidesMm2: amount.describe('outer sides of the part that lean over: nothing is moulded there'),
  places: z
    .array(
      z.object({
        id: z.int(),
        kind: z.enum(['wall', 'undercut', 'outer-side']),
        areaMm2: amount,
        centreMm: point,
        boundsMm: bounds,
        leastDraftDeg: z.number().describe('90 less the wall angle; below 0: leans over'),
      }),
    )
    .describe('kind by kind, largest first'),
});

const step = z.object({ diameterMm: amount, depthMm: amount });
const hole = z.object({
  id: z.int(),
  count: count.describe('holes that are alike to a hundredth of a millimetre'),
  kind: z.enum(['through', 'blind']),
  diameterMm: amount.describe('of the circle on which the vertices of its narrowest round wall lie'),
  depthMm: amount.describe('from its mouth to where its lowest round wall ends: without the tip of a drill'),
  counterbore: step.nullable().describe('the first step, where that is wider'),
  steps: z.array(step).min(1).describe('round walls from the top down; depths add up to depthMm'),
  mouthDiameterMm: amount.nullable().describe('of a chamfer or rounding at its mouth; null: none'),
  areaMm2: amount.describe('machinable surface of all of them: walls, bottoms, steps, mouths'),
  isDrilled: z
    .boolean()
    .describe('drilled, reamed or bored, not finished: it is no wider than drilledUpToMm'),
  finishMinutes: orNotComputed(amount).describe(
    'roughly what finishing all of them takes, or would: even passes of the largest finisher that goes round in ' +
      'it; null: none does, or it would have to stick out too far',
  ),
  topsMm: z.array(point).min(1).describe('middle of each mouth'),
});

/** Stages of the work. Those of finishing are told in full under passes and ladder. */
export const STAGE_KINDS = [
  'rough',
  'rest-rough',
  'semi-finish',
  'semi-corners',
  'floors',
  'walls',
  'waterline',
  'raster',
  'constant',
  'corners',
] as const;
export type StageKind = (typeof STAGE_KINDS)[number];

const met = z
  .object({
    greatestMm: amount.describe(
      'from the top of the stock to the nearest point of what this stage leaves; that of walls lies sideways, of floors below',
    ),
    meanMm: amount.describe(
      'volume that it takes away over the surface it takes it from; of floors and of walls over those that it finishes',
    ),
    takesMm: amount.describe('what this stage should take'),
    limitMm: amount.describe('mostThickness times that'),
    overAreaMm2: amount.describe('in plan, thicker than the limit'),
    places: count.describe('connected places thicker than the limit'),
    whereMm: point.nullable().describe('the thickest, on top of the stock'),
  })
  .describe('what the stage before left, on a height grid');

const slice = z.object({
  zMm: z.number().describe('height of the tip'),
  volumeMm3: amount.describe('taken away between this level and the one above'),
  areaMm2: amount.describe('in plan'),
});

const stageEntry = z.object({
  id: z.int(),
  kind: z.enum(STAGE_KINDS),
  cutterId: z.string(),
  DC: z.number(),
  RE: z.number(),
  beforeCutterId: z.string().nullable().describe('cutter of the stage before; null: it works on the block'),
  blendShare: orNotComputed(z.number()).describe(
    'by which the cutter before is taken larger where this one cleans; null: it cleans up after none',
  ),
  stockLeftMm: amount,
  stepoverMm: orNotComputed(amount),
  stepdownMm: orNotComputed(amount).describe(
    'of roughing the greatest between slices, of waterline the least, as stepoverMm of raster; of corners none: they ' +
      'follow the surface',
  ),
  feedMmPerMin: orNotComputed(amount),
  removalRateMm3PerMin: orNotComputed(amount).describe(
    'in full engagement: stepover times stepdown times feed',
  ),
  areaMm2: amount.describe('that it works on: of roughing in plan, else of the surface'),
  volumeMm3: orNotComputed(amount).describe('taken away; null: what is left for finishing is not summed'),
  leftMm3: orNotComputed(amount).describe(
    'stands over the part afterwards; with all taken so far, on floors and walls too, it makes the block',
  ),
  slices: z.array(slice),
  meets: orNotComputed(met),
  regionIds: z.array(z.int()).describe('regions of the surface in which it works'),
  rings: rings.describe(
    'before finishing where it takes anything away, to the pitch of the height grid; of finishing the surface that ' +
      'its cutter is to touch, none of walls, which have no width in plan; without what is not worth a move',
  ),
  minutes: amount,
  ...stickout,
});

const block = z.object({
  kind: z.enum(['box', 'cylinder', 'mesh']),
  name: z.string().nullable().describe('of a mesh: its file'),
  boundsMm: bounds,
  toRemoveMm3: amount.describe(
    'between its top and the part as seen from above, down to the lowest level of the part',
  ),
  pitchMm: amount.describe('of the height grid: walls are known to about a fifth of it, as a mean'),
});

const cribCutter = z.object({
  cutterId: z.string(),
  DC: z.number(),
  RE: z.number(),
  stickoutMm: orNotComputed(amount).describe('the most that any of its stages needs'),
  exceedsUsable: orNotComputed(z.boolean()),
  stageIds: z.array(z.int()),
  minutes: amount,
});

const operations = z.object({
  cuttingMinutes: amount.describe('of all stages'),
  toolChanges: count.describe('wherever a stage takes another cutter than the one before, and the first'),
  toolChangeMinutes: amount,
  totalMinutes: amount.describe('without set-up'),
});

/** What a survey found: plain data, lengths mm, angles degrees, areas mm², times minutes. */
export const planSchema = z
  .object({
    version: z.literal(1),
    source,
    setup: placedSetup,
    mesh,
    waysUp,
    release: release.nullable().describe('null: no draft was asked about'),
    holes: z.array(hole).describe('round upright holes that are open above, alike ones once; widest first'),
    findings: z.array(finding),
    classes,
    passes: z.object({
      cutterId: z.string().describe('cutter of waterline, raster and constant'),
      waterline: pass,
      raster,
      constant: constant.describe('lines at one distance along the surface, over small curved patches'),
      floors: z.array(milled).describe('level floors, by flat and bull-nose cutters, in order of use'),
      walls: z.array(milled).describe('upright walls likewise'),
    }),
    regions: z.array(region),
    reach,
    notMilled: z
      .array(notMilledPlace)
      .describe('what milling, or the catalogue, does not make, and what would; largest first'),
    ladder: z.array(rung),
    ladderSecond: z
      .object({
        cutterIds: z.array(z.string()).describe('in order of use'),
        extraMinutes: z
          .number()
          .describe('what the job takes longer with them; below 0: not by what a further cutter must save'),
      })
      .nullable()
      .describe('the next best choice of cutters; null: there is none, or no order by minutes was searched'),
    block: block.describe('what the part is cut from'),
    stages: z.array(stageEntry).describe('from the block to the finished part, in order'),
    crib: z.array(cribCutter).describe('cutters of all stages, each once, in order of first use'),
    operations: operations.describe('minutes of all stages, roughing in them; time tells of finishing alone'),
    ladderOneMore: z
      .object({ cutterId: z.string(), extraMinutes: z.number() })
      .nullable()
      .describe(
        'the cutter that makes the job least longer when added to the ladder; null: nothing was compared',
      ),
    ladderLeftOut: z.array(leftOutCutter).describe('every other cutter of the catalogue, and why'),
    split: splitCurve,
    time,
    cautions: z.array(z.string()),
  })
  .describe(
    'Lengths mm, angles degrees, areas mm², times minutes. null: not computed. "unlimited": no limit.',
  );

export type Plan = DeepReadonly<z.infer<typeof planSchema>>;
/** What is final once the surface is classed, long before the rest of a survey; findings are those up to there. */
export type SurfaceAnswers = Pick<
  Plan,
  'source' | 'setup' | 'mesh' | 'findings' | 'classes' | 'waysUp' | 'release' | 'holes'
> & { readonly split: Pick<Plan['split'], 'angleDeg' | 'overlapDeg'> };
/** What is final before what balls leave is known: all but that, and findings. */
export type WorkAnswers = Omit<Plan, 'findings' | 'reach'> & {
  readonly reach: Omit<Plan['reach'], 'byRadius'> & {
    readonly byRadius: readonly Pick<Plan['reach']['byRadius'][number], 'radiusMm' | 'unreachedAreaMm2'>[];
  };
};
export type NotMilled = Plan['notMilled'][number];
export type Remedy = NotMilled['remedies'][number];
export type RegionWork = z.infer<typeof regionWork>;
export type TightRegion = Plan['reach']['tightRegions'][number];

/** JSON Schema (2020-12) of plan.json. Open: later writers of version 1 may add keys. */
export const planJsonSchema = (): Record<string, unknown> =>
  publishedSchema(planSchema, 'plan', 'Plan of a survey');
