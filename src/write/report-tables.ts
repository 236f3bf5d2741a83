import { CLASSES, MACHINABLE_CLASSES } from '../core/classes.js';
import type { Plan, TightRegion } from '../plan/plan.js';
import { overlapWords } from './overlap-words.js';
import { areaText, htmlTable, minutesText, radiusText, shown } from './report-numbers.js';
import { TEXT } from './report-text.js';
import { xmlText } from './svg-text.js';

const words = TEXT.report.tables,
  { heads } = words;

/** More rows than this make no one wiser on paper: plan.json has them all. */
const MOST_ROWS = 200;
const PRINTED_ROWS = 10,
  PRINTED_LEFTOVER = 3,
  PRINTED_RADII = 14;

/** A key for a class: colour and hatch in one. */
export const swatch = (cls: string): string =>
  `<svg class="swatch" viewBox="0 0 30 18" aria-hidden="true"><rect width="30" height="18" fill="url(#key-${cls})"/></svg>`;

export function classTable(plan: Plan): string {
  const { band, end } = overlapWords(plan, '°');
  const names = TEXT.report.classWords(`${shown(plan.split.angleDeg, 1)}°`, band, end);
  const rows = CLASSES.filter((name, i) => i < MACHINABLE_CLASSES || plan.classes[name].areaMm2 > 0).map(
    (name) => {
      const { areaMm2, planAreaMm2, regions } = plan.classes[name];
      const share = plan.mesh.areaMm2 > 0 ? (100 * areaMm2) / plan.mesh.areaMm2 : 0;
      return [
        `<span class="row">${swatch(name)} ${xmlText(names[name])}</span>`,
        areaText(areaMm2),
        `${shown(share, 1)} %`,
        areaText(planAreaMm2),
        `${regions}`,
      ];
    },
  );
  return htmlTable(
    words.classes,
    [
      { head: heads.class },
      { head: heads.area, right: true },
      { head: heads.ofTheSurface, right: true },
      { head: heads.inPlan, right: true },
      { head: heads.regions, right: true },
    ],
    rows,
  );
}

export function passTable(plan: Plan): string {
  const { passes, split } = plan,
    { end } = overlapWords(plan, '°');
  const row = (name: string, range: string, step: string, pass: Plan['passes']['waterline']): string[] => [
    name,
    range,
    `${step} ${shown(pass.spacingMm, 3)} mm`,
    areaText(pass.areaMm2),
    `${shown(pass.pathLengthMm / 1000, 1)} m`,
    pass.maxScallopMm === null ? TEXT.report.notComputed : `${shown(pass.maxScallopMm, 4)} mm`,
    areaText(pass.areaAboveScallopMm2),
    minutesText(pass.minutes),
  ];
  return htmlTable(
    words.passes,
    [
      { head: heads.pass },
      { head: heads.wallAngle },
      { head: heads.step },
      { head: heads.area, right: true },
      { head: heads.path, right: true },
      { head: heads.highestScallop, right: true },
      { head: words.above(shown(plan.setup.scallopMm, 4)), right: true },
      { head: heads.time, right: true },
    ],
    [
      row(words.waterline, words.andUp(shown(split.angleDeg, 1)), words.stepdown, passes.waterline),
      row(
        words.raster,
        words.upToAlong(end, shown(passes.raster.directionDeg, 1)),
        words.stepover,
        passes.raster,
      ),
    ],
  );
}

export function ladderTable({ ladder }: Plan): string {
  return htmlTable(
    words.ladder,
    [
      { head: heads.cutter },
      { head: 'DC', right: true },
      { head: 'RE', right: true },
      { head: heads.finishes, right: true },
      { head: heads.leaves, right: true },
      { head: heads.leastStickout, right: true },
      { head: heads.time, right: true },
    ],
    ladder.map((rung, i) => [
      `${i + 1}. ${xmlText(rung.cutterId)}`,
      shown(rung.DC, 3),
      shown(rung.RE, 3),
      areaText(rung.finishedAreaMm2),
      areaText(rung.unreachedAreaMm2),
      stickoutText(rung),
      minutesText(rung.minutes),
    ]),
  );
}

/** A stickout, and whether the cutter is too short for it. */
const stickoutText = ({
  stickoutMm,
  exceedsUsable,
}: Pick<TightRegion, 'stickoutMm' | 'exceedsUsable'>): string =>
  stickoutMm === null ? '–' : `${shown(stickoutMm, 1)} mm${exceedsUsable ? words.aboveUsable : ''}`;

export function reachTable({ reach }: Plan): string {
  return htmlTable(
    words.reach(shown(reach.toleranceMm, 4)),
    [
      { head: heads.ballRadius, right: true },
      { head: heads.notReached, right: true },
      { head: heads.restVolume, right: true },
      { head: heads.deepestRest, right: true },
    ],
    reach.byRadius.map(({ radiusMm, unreachedAreaMm2, restVolumeMm3, maxGapMm }) => [
      `${shown(radiusMm, 3)} mm`,
      areaText(unreachedAreaMm2),
      restVolumeMm3 === null ? TEXT.report.notComputed : `${shown(restVolumeMm3, 1)} mm³`,
      maxGapMm === 'unlimited' ? TEXT.view.noFit : `${shown(maxGapMm, 3)} mm`,
    ]),
    (i) => (i >= PRINTED_RADII ? ' class="more"' : ''),
  );
}

const byArea = (a: TightRegion, b: TightRegion): number => b.areaMm2 - a.areaMm2 || a.id - b.id;

/** Tight regions; each name is a button that shows the place in the view. */
export function tightTable(caption: string, patches: readonly TightRegion[], linked: boolean): string {
  if (patches.length === 0) return `<p><strong>${xmlText(caption)}:</strong> ${TEXT.report.none}.</p>`;
  const rows = [...patches].sort(byArea).slice(0, MOST_ROWS);
  const left = patches.length - rows.length;
  const table = htmlTable(
    caption,
    [
      { head: heads.place },
      { head: heads.at },
      { head: heads.ballRadiusItTakes, right: true },
      { head: heads.area, right: true },
      { head: heads.depth, right: true },
      { head: heads.cutter },
      { head: heads.leastStickout, right: true },
    ],
    rows.map(({ id, centreMm, reachRadiusMm, areaMm2, depthMm, cutterId, ...own }) => [
      linked ? placeButton('tight', id, `T${id}`) : `T${id}`,
      centreMm.map((x) => shown(x, 1)).join(', '),
      radiusText(reachRadiusMm),
      areaText(areaMm2),
      `${shown(depthMm, 1)} mm`,
      xmlText(cutterId ?? TEXT.report.none),
      stickoutText(own),
    ]),
    (i) =>
      `${linked ? ` id="tight-${rows[i].id}"` : ''}${i >= (linked ? PRINTED_ROWS : PRINTED_LEFTOVER) ? ' class="more"' : ''}`,
  );
  return left > 0 ? `${table}<p class="hint">${TEXT.report.moreInPlan(left)}</p>` : table;
}

export function regionTable({ regions }: Plan): string {
  const rows = regions.slice(0, MOST_ROWS);
  const left = regions.length - rows.length;
  const table = htmlTable(
    words.regions,
    [
      { head: heads.region },
      { head: heads.class },
      { head: heads.area, right: true },
      { head: heads.fromPoint },
      { head: heads.toPoint },
      { head: heads.cutter },
      { head: heads.leastStickout, right: true },
    ],
    rows.map((region) => [
      placeButton('region', region.id, `${region.id}`),
      `<span class="row">${swatch(region.class)} ${region.class}</span>`,
      areaText(region.areaMm2),
      region.boundsMm.min.map((x) => shown(x, 1)).join(', '),
      region.boundsMm.max.map((x) => shown(x, 1)).join(', '),
      xmlText(region.cutterId ?? '–'),
      stickoutText(region),
    ]),
    (i) => ` id="region-row-${rows[i].id}"`,
  );
  return `${table}${left > 0 ? `<p class="hint">${TEXT.report.moreInPlan(left)}</p>` : ''}`;
}

const placeButton = (kind: 'region' | 'tight', id: number, text: string): string =>
  `<button type="button" class="link on-screen" data-${kind}="${id}" aria-label="${xmlText(words.showPlace[kind](text))}">${text}</button>` +
  `<span class="paper-only" aria-hidden="true">${text}</span>`;
