import { stepRange } from './step-words.js';
import { CLASSES, MACHINABLE_CLASSES } from '../core/classes.js';
import type { Plan, SurfaceAnswers, TightRegion } from '../plan/plan.js';
import { swatch } from './hatches.js';
import { regionButton } from './place-button.js';
import { overlapWords } from './overlap-words.js';
import {
  areaText,
  htmlTable,
  lengthText,
  minutesText,
  numbers,
  pointText,
  shown,
  thicknessText,
  words,
  wrappable,
} from './report-numbers.js';
import { TEXT } from './report-text.js';
import { xmlText } from './svg-text.js';
import { differs } from './why-not.js';

const text = TEXT.report.tables,
  { heads } = text;

/** More rows than this make no one wiser: plan.json has them all. */
const MOST_ROWS = 200;
const PRINTED_RADII = 14;

export function classTable(plan: SurfaceAnswers): string {
  const { band, end } = overlapWords(plan, '°');
  const names = TEXT.report.classWords(`${shown(plan.split.angleDeg, 1)}°`, band, end);
  const share = (mm2: number): number => (plan.mesh.areaMm2 > 0 ? (100 * mm2) / plan.mesh.areaMm2 : 0);
  return htmlTable(
    text.classes,
    CLASSES.filter((name, i) => i < MACHINABLE_CLASSES || plan.classes[name].areaMm2 > 0),
    [
      words(
        heads.class,
        (name) => `<span class="row">${swatch(`url(#key-${name})`)} ${xmlText(names[name])}</span>`,
      ),
      numbers(heads.area, (name) => areaText(plan.classes[name].areaMm2)),
      numbers(heads.ofTheSurface, (name) => `${shown(share(plan.classes[name].areaMm2), 1)} %`),
      numbers(heads.inPlan, (name) => areaText(plan.classes[name].planAreaMm2)),
      numbers(heads.regions, (name) => `${plan.classes[name].regions}`),
    ],
  );
}

/** Along floor and wall a flat or bull-nose cutter leaves none. */
const NO_RIDGE = { maxScallopMm: 0, areaAboveScallopMm2: 0 };

// biome-ignore lint/complexity/noExcessiveLinesPerFunction: rows of a table, one after the other
export function passTable(plan: Plan): string {
  const { split, passes } = plan,
    { end } = overlapWords(plan, '°');
  const ofBall = [
    {
      ...passes.waterline,
      name: text.waterline,
      range: text.andUp(shown(split.angleDeg, 1)),
      step: text.stepdown,
    },
    {
      ...passes.raster,
      name: text.raster,
      range: text.upToAlong(end, shown(passes.raster.directionDeg, 1)),
      step: text.stepover,
    },
    {
      ...passes.constant,
      name: text.constant,
      range: text.curved,
      step: text.stepover,
    },
  ].filter(({ areaMm2 }) => areaMm2 > 0);
  const rows = [
    ...ofBall,
    ...passes.floors.map((pass) => ({
      ...pass,
      ...NO_RIDGE,
      name: text.floors(pass.cutterId),
      range: text.level,
      step: text.stepover,
    })),
    ...passes.walls.map((pass) => ({
      ...pass,
      ...NO_RIDGE,
      name: text.walls(pass.cutterId),
      range: text.upright,
      step: text.stepdown,
    })),
  ];
  const caption =
    ofBall.length === 0
      ? text.millPasses
      : (rows.length > ofBall.length ? text.passesAndMills : text.passes)(passes.cutterId);
  return htmlTable(caption, rows, [
    words(heads.pass, ({ name }) => name),
    words(heads.wallAngle, ({ range }) => range),
    words(heads.step, ({ step, ...pass }) => `${step} ${stepRange(pass, (mm) => lengthText(mm, 3))}`),
    numbers(heads.area, ({ areaMm2 }) => areaText(areaMm2)),
    numbers(heads.path, ({ pathLengthMm }) => `${shown(pathLengthMm / 1000, 1)} m`),
    numbers(heads.highestScallop, ({ maxScallopMm }) =>
      maxScallopMm === null ? TEXT.view.noRidge : lengthText(maxScallopMm, 4),
    ),
    numbers(text.above(shown(plan.setup.scallopMm, 4)), ({ areaAboveScallopMm2 }) =>
      areaText(areaAboveScallopMm2),
    ),
    numbers(heads.time, ({ minutes }) => minutesText(minutes)),
  ]);
}

export const ladderTable = ({
  ladder,
  ladderSecond,
  setup: { leastGainMinutes },
}: Pick<Plan, 'ladder' | 'ladderSecond' | 'setup'>): string =>
  htmlTable(text.ladder, ladder, [
    words(heads.cutter, ({ cutterId }, i) => `${i + 1}. ${xmlText(cutterId)}`),
    numbers('DC', ({ DC }) => shown(DC, 3)),
    numbers('RE', ({ RE }) => shown(RE, 3)),
    numbers(heads.finishes, ({ finishedAreaMm2 }) => areaText(finishedAreaMm2)),
    numbers(heads.leaves, ({ unreachedAreaMm2 }) => areaText(unreachedAreaMm2)),
    numbers(heads.leastStickout, stickoutText),
    numbers(heads.time, ({ minutes }) => minutesText(minutes)),
  ]) +
  (ladderSecond === null
    ? ''
    : `<p class="hint">${wrappable(
        [
          TEXT.report.nextBest(
            ladderSecond.cutterIds.join(', '),
            differs(ladderSecond.extraMinutes, minutesText),
          ),
          ...(leastGainMinutes > 0 ? [TEXT.report.leastGain(minutesText(leastGainMinutes))] : []),
        ].join(' '),
      )}</p>`);

/** A stickout, and whether the cutter is too short for it. */
export const stickoutText = ({
  stickoutMm,
  exceedsUsable,
}: Pick<TightRegion, 'stickoutMm' | 'exceedsUsable'>): string =>
  stickoutMm === null
    ? '–'
    : `${lengthText(stickoutMm, 1)}${exceedsUsable ? `<span class="after">, <span>${text.aboveUsable}</span></span>` : ''}`;

export const reachTable = ({ reach }: Plan): string =>
  htmlTable(
    text.reach(shown(reach.toleranceMm, 4)),
    reach.byRadius,
    [
      numbers(heads.ballRadius, ({ radiusMm }) => lengthText(radiusMm, 3)),
      numbers(heads.notReached, ({ unreachedAreaMm2 }) => areaText(unreachedAreaMm2)),
      numbers(heads.restVolume, ({ restVolumeMm3 }) =>
        restVolumeMm3 === null ? TEXT.report.notComputed : `${shown(restVolumeMm3, 1)} mm³`,
      ),
      numbers(heads.deepestRest, ({ maxGapMm }) =>
        maxGapMm === 'unlimited' ? TEXT.view.noFit : thicknessText(maxGapMm),
      ),
    ],
    (i) => (i >= PRINTED_RADII ? ' class="more"' : ''),
  );

export function regionTable({ regions }: Plan): string {
  const rows = regions.slice(0, MOST_ROWS);
  const table = htmlTable(
    text.regions,
    rows,
    [
      words(heads.region, ({ id }) => regionButton(id)),
      words(heads.class, ({ class: cls }) => `<span class="row">${swatch(`url(#key-${cls})`)} ${cls}</span>`),
      numbers(heads.area, ({ areaMm2 }) => areaText(areaMm2)),
      words(heads.fromPoint, ({ boundsMm }) => pointText(boundsMm.min)),
      words(heads.toPoint, ({ boundsMm }) => pointText(boundsMm.max)),
      words(heads.firstCutter, ({ cutterId }) => xmlText(cutterId ?? '–')),
      numbers(heads.leastStickout, stickoutText),
      words(heads.laterCutters, ({ laterCutterIds }) => xmlText(laterCutterIds.join(', ') || '–')),
    ],
    (i) => ` id="region-row-${rows[i].id}"`,
  );
  const left = regions.length - rows.length;
  return left > 0 ? `${table}<p class="hint">${TEXT.report.moreInPlan(left)}</p>` : table;
}
