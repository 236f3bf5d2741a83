import { CLASSES, MACHINABLE_CLASSES } from '../core/classes.js';
import type { Finding, Severity } from '../core/findings.js';
import type { Plan, TightRegion } from '../plan/plan.js';
import { overlapWords } from './overlap-words.js';
import { textTable, wrapText } from './text-table.js';

export type Style = 'heading' | Severity;

export interface SummaryOptions {
  /** Colours a piece of text; leaves it as it is where colour is not wanted. */
  readonly paint: (style: Style, text: string) => string;
  /** Where the files were written and their names; null if none were. */
  readonly written: { readonly directory: string; readonly names: readonly string[] } | null;
}

const WIDTH = 100;
const MOST_LINES = 8;

/**
 * One page for the terminal, in the order in which a programmer asks: is the mesh fit, steep and shallow
 * areas, the split, the cutters, the corners nothing reaches, minutes; then where the files are, then
 * cautions.
 */
export function summaryText(plan: Plan, { paint, written }: SummaryOptions): string {
  const section = (title: string, lines: readonly string[]) => [paint('heading', title), ...lines, ''];
  const blocks = [
    ...partLines(plan),
    '',
    ...section(
      `Mesh: ${meshVerdict(plan.mesh, plan.findings)}`,
      findingLines(plan.findings.filter(isOfMesh), paint),
    ),
    ...section('Surface', surfaceLines(plan)),
    ...section('Split', splitLines(plan)),
    ...section('Cutters, in order of use', ladderLines(plan)),
    ...section(leftoverTitle(plan), cornerLines(plan.reach.leftover)),
    ...section('Time', timeLines(plan)),
  ];
  const others = plan.findings.filter((finding) => !isOfMesh(finding));
  if (others.length > 0) blocks.push(...section('Also found', findingLines(others, paint)));
  if (written !== null) {
    const names = wrapText(written.names.join('  '), WIDTH, '    ');
    blocks.push(...section('Files', [`  ${written.directory}`, ...names]));
  }
  if (plan.cautions.length > 0) {
    blocks.push(
      ...section(
        'Cautions',
        plan.cautions.flatMap((caution) => wrapText(caution, WIDTH, '  ')),
      ),
    );
  }
  return `${blocks.join('\n').trimEnd()}\n`;
}

/** What `check` prints: the part, whether the mesh is fit, counts, findings. */
export function checkText(
  { source, mesh, findings }: Pick<Plan, 'source' | 'mesh' | 'findings'>,
  paint: SummaryOptions['paint'],
): string {
  const counts: [string, string][] = [
    ['triangles', `${mesh.triangles}`],
    ['vertices', `${mesh.vertices}`],
    ['shells', `${mesh.shells}`],
    ['area', `${rounded(mesh.areaMm2, 1)} mm²`],
    ['volume', mesh.volumeMm3 === null ? 'not computed' : `${rounded(mesh.volumeMm3, 1)} mm³`],
    ['open edges', `${mesh.openEdges}`],
    ['edges of more than two facets', `${mesh.nonManifoldEdges}`],
    ['degenerate triangles', `${mesh.degenerateTriangles}`],
    ['duplicate triangles', `${mesh.duplicateTriangles}`],
    ['flipped triangles', `${mesh.flippedTriangles}`],
  ];
  const lines = [
    ...partLines({ source, mesh }),
    '',
    paint('heading', `Mesh: ${meshVerdict(mesh, findings)}`),
    ...findingLines(findings, paint),
    ...textTable(counts, ['left', 'right']),
  ];
  return `${lines.join('\n')}\n`;
}

function partLines({ source, mesh }: Pick<Plan, 'source' | 'mesh'>): string[] {
  const [x, y, z] = mesh.boundsMm.max.map((high, k) => rounded(high - mesh.boundsMm.min[k], 2));
  const { unit: known, unitFrom } = source;
  const unit =
    unitFrom === 'default'
      ? `${known} taken, none given`
      : unitFrom === 'guess'
        ? `${known}, guessed`
        : known;
  return [
    `${source.name}  ${x} x ${y} x ${z} mm  ${source.triangles} triangles  (${source.format}, unit: ${unit})`,
  ];
}

/** Findings that tell about the mesh itself: its file, its unit, its surface. */
const isOfMesh = ({ code }: Pick<Finding, 'code'>): boolean => /^(read|unit|mesh)\./.test(code);

/** One sentence that answers "is the mesh fit". */
export function meshVerdict(
  mesh: Plan['mesh'],
  findings: readonly Pick<Finding, 'code' | 'severity'>[],
): string {
  const own = findings.filter(isOfMesh);
  const worst = (severity: Severity) => own.filter((finding) => finding.severity === severity).length;
  const shape = `${mesh.closed ? 'closed' : `${mesh.openEdges} open edges`}, ${counted(mesh.shells, 'shell')}`;
  if (worst('error') > 0) return `not fit as it is, ${counted(worst('error'), 'error')} (${shape})`;
  if (worst('warning') > 0) return `fit, with ${counted(worst('warning'), 'warning')} (${shape})`;
  return `fit (${shape})`;
}

/** Findings, the worst first, at most a page's worth. */
export function findingLines(
  findings: readonly Omit<Finding, 'whereMm'>[],
  paint: (style: Style, text: string) => string,
): string[] {
  const order: Record<Severity, number> = { error: 0, warning: 1, info: 2 };
  const sorted = [...findings].sort((a, b) => order[a.severity] - order[b.severity]);
  return capped(
    sorted.map((finding) => {
      const [first, ...rest] = wrapText(finding.message, WIDTH, '           ');
      return [`  ${paint(finding.severity, finding.severity.padEnd(7))}  ${first.trimStart()}`, ...rest].join(
        '\n',
      );
    }),
    'findings',
  );
}

function surfaceLines({ classes, mesh }: Pick<Plan, 'classes' | 'mesh'>): string[] {
  const rows = CLASSES.filter((name, i) => i < MACHINABLE_CLASSES || classes[name].areaMm2 > 0).map(
    (name) => {
      const { areaMm2, regions } = classes[name];
      const share = mesh.areaMm2 > 0 ? (100 * areaMm2) / mesh.areaMm2 : 0;
      return [name, `${rounded(areaMm2, 1)} mm²`, `${rounded(share, 1)} %`, counted(regions, 'region')];
    },
  );
  return textTable(rows, ['left', 'right', 'right', 'right']);
}

function splitLines({ setup, split, passes }: Pick<Plan, 'setup' | 'split' | 'passes'>): string[] {
  const hints = [
    split.equalScallopDeg === null ? [] : [`equal scallops at ${rounded(split.equalScallopDeg, 1)} deg`],
    split.fastestDeg === null ? [] : [`fastest at ${rounded(split.fastestDeg, 1)} deg`],
  ].flat();
  const note = hints.length === 0 ? '' : ` (${hints.join(', ')})`;
  const row = (name: string, range: string, step: string, pass: Plan['passes']['waterline']) => [
    name,
    range,
    `${rounded(pass.areaMm2, 1)} mm²`,
    `${step} ${rounded(pass.spacingMm, 3)} mm`,
    `path ${rounded(pass.pathLengthMm / 1000, 1)} m`,
    `${rounded(pass.minutes, 1)} min`,
  ];
  const { overlap, end } = overlapWords({ setup, split }, ' deg');
  const along = rounded(passes.raster.directionDeg, 1);
  return [
    `  ${rounded(split.angleDeg, 1)} deg, overlap ${overlap}${note}`,
    ...gainLine(split),
    ...textTable(
      [
        row('waterline', `from ${rounded(split.angleDeg, 1)} deg up`, 'stepdown', passes.waterline),
        row('raster', `up to ${end}, along ${along} deg`, 'stepover', passes.raster),
      ],
      ['left', 'left', 'right', 'right', 'right', 'right'],
    ),
  ];
}

/** What the fastest split saves, of the cutting alone. */
function gainLine({ fastestDeg, gain: { over45, overWaterline, overRaster } }: Plan['split']): string[] {
  if (fastestDeg === null) return [];
  const against = (share: number | null, what: string): string[] =>
    share !== null && share >= 0.005 ? [`${rounded(100 * share, 0)} % less than ${what}`] : [];
  const parts = [
    ...(fastestDeg === 45 ? [] : against(over45.share, 'at 45 deg')),
    ...against(overWaterline.share, 'one waterline for everything'),
    ...against(overRaster.share, 'one raster for everything'),
  ];
  return parts.length === 0 ? [] : wrapText(`cutting at the fastest split: ${parts.join(', ')}`, WIDTH, '  ');
}

function ladderLines({ ladder, reach }: Pick<Plan, 'ladder' | 'reach'>): string[] {
  const rows = ladder.map((rung, i) => [
    `${i + 1}`,
    rung.cutterId,
    `DC ${rung.DC}`,
    `RE ${rung.RE}`,
    rung.stage,
    `finishes ${rounded(rung.finishedAreaMm2, 1)} mm²`,
    `leaves ${rounded(rung.unreachedAreaMm2, 1)} mm²`,
    rung.stickoutMm === null
      ? 'stickout not computed'
      : `stickout ${rounded(rung.stickoutMm, 1)} mm${rung.exceedsUsable ? ', more than its LU' : ''}`,
    `${rounded(rung.minutes, 1)} min`,
  ]);
  const smallest = reach.smallestRadiusMm;
  const need = smallest === null ? [] : [`  tightest place: ${radiusNeed(smallest)}`];
  if (rows.length === 0) return ['  none: no cutter of the catalogue reaches anything', ...need];
  return [
    ...textTable(rows, ['right', 'left', 'left', 'left', 'left', 'right', 'right', 'right', 'right']),
    ...restLines(ladder),
    ...need,
  ];
}

/** What each cutter after the first has to clean. */
function restLines(ladder: Plan['ladder']): string[] {
  return ladder.flatMap(({ cutterId, restAreaMm2, restVolumeMm3, restGreatestMm, restRegions }, i) => {
    if (restAreaMm2 === null) return [];
    const volume = restVolumeMm3 === null ? '' : `, ${rounded(restVolumeMm3, 1)} mm³`;
    const thickness = restGreatestMm === null ? '' : `, up to ${rounded(restGreatestMm, 2)} mm thick`;
    return [
      `  ${cutterId} cleans after ${ladder[i - 1].cutterId}: ${rounded(restAreaMm2, 1)} mm² in ` +
        `${counted(restRegions.length, 'place')}${volume}${thickness}`,
    ];
  });
}

function radiusNeed(radiusMm: number | 'unlimited'): string {
  if (radiusMm === 'unlimited') return 'any ball fits';
  return radiusMm === 0 ? 'a sharp corner, no ball fits' : `ball radius ${rounded(radiusMm, 3)} mm`;
}

function leftoverTitle({ reach: { leftover } }: Plan): string {
  return leftover.length === 0
    ? 'Corners that no cutter of the catalogue reaches: none'
    : `Corners that no cutter of the catalogue reaches: ${leftover.length}`;
}

function cornerLines(corners: readonly TightRegion[]): string[] {
  const largestFirst = [...corners].sort((a, b) => b.areaMm2 - a.areaMm2 || a.id - b.id);
  return capped(
    textTable(
      largestFirst.map((corner) => [
        `at ${corner.centreMm.map((value) => rounded(value, 1)).join(' ')}`,
        `${rounded(corner.areaMm2, 2)} mm²`,
        `depth ${rounded(corner.depthMm, 1)} mm`,
        radiusNeed(corner.reachRadiusMm),
      ]),
      ['left', 'right', 'right', 'left'],
    ),
    'corners',
  );
}

function timeLines({ time }: Pick<Plan, 'time'>): string[] {
  const { low, high } = { low: threeDigits(time.lowMinutes), high: threeDigits(time.highMinutes) };
  const money = time.currency === '' ? '' : ` ${time.currency}`;
  const cost =
    time.cost === null
      ? []
      : [
          `  cost ${threeDigits(time.lowCost)} to ${threeDigits(time.highCost)}${money}, likely ${threeDigits(time.cost)}, ` +
            `cutter wear and ${rounded(time.setUpMinutes, 1)} min of set-up in it`,
        ];
  return [
    `  ${low} to ${high} min, likely ${rounded(time.totalMinutes, 1)} min: ` +
      `finishing ${rounded(time.finishingMinutes, 1)} min, tool changes ${rounded(time.toolChangeMinutes, 1)} min`,
    ...cost,
    ...[`Range: ${time.rangeBasis}.`, ...time.assumptions.slice(0, 1)].flatMap((line) =>
      wrapText(line, WIDTH, '  '),
    ),
  ];
}

function capped(lines: readonly string[], what: string): string[] {
  if (lines.length <= MOST_LINES) return [...lines];
  return [...lines.slice(0, MOST_LINES), `  and ${lines.length - MOST_LINES} more ${what}: see plan.json`];
}

const counted = (amount: number, word: string): string => `${amount} ${word}${amount === 1 ? '' : 's'}`;

/** A planning figure is not known to the penny. */
const threeDigits = (value: number): string => String(Number(value.toPrecision(3)));

/** At most so many decimals, without trailing zeros; a small number that would vanish keeps one digit. */
function rounded(value: number, decimals: number): string {
  const fixed = Number(value.toFixed(decimals));
  return String(fixed === 0 && value !== 0 ? Number(value.toPrecision(1)) : fixed + 0);
}
