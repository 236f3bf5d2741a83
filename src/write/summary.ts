import { figure } from '../core/figures.js';
import type { Finding, Severity } from '../core/findings.js';
import type { Plan, SurfaceAnswers, WorkAnswers } from '../plan/plan.js';
import { capped, counted, ladderLines, splitLines, surfaceLines, timeLines } from './summary-sections.js';
import { holeLines, holesTitle } from './holes.js';
import { operationLines } from './operations.js';
import { notMilledLines, notMilledTitle } from './not-milled.js';
import { releaseLines } from './release.js';
import { wrapText } from './text-table.js';
import { wayUpLines } from './ways-up.js';

export type Style = 'heading' | Severity;

export interface SummaryOptions {
  /** Colours a piece of text; leaves it as it is where colour is not wanted. */
  readonly paint: (style: Style, text: string) => string;
  /** Where the files were written and their names; null if none were. */
  readonly written: Written | null;
  /** columns of the terminal; 80 unless it is wider */
  readonly width?: number;
}

export interface Written {
  readonly directory: string;
  readonly names: readonly string[];
}

/** What every terminal has. */
export const LEAST_WIDTH = 80;

export type Layout = Required<Pick<SummaryOptions, 'paint' | 'width'>>;

/**
 * One page for the terminal, in the order in which a programmer asks: is the mesh fit, steep and shallow
 * areas, the split, the cutters, the corners nothing reaches, minutes; then where the files are, then
 * cautions.
 */
export function summaryText(plan: Plan, { paint, written, width = LEAST_WIDTH }: SummaryOptions): string {
  const layout = { paint, width };
  return surfaceText(plan, layout) + workText(plan, layout) + endText(plan, { ...layout, written });
}

type Block = readonly [title: string, lines: readonly string[]];

const blocksText = (blocks: readonly Block[], { paint }: Layout): string =>
  blocks.map(([title, lines]) => `${[paint('heading', title), ...lines].join('\n')}\n\n`).join('');

/** The page's beginning: part, mesh, surface, holes. */
export function surfaceText(answers: SurfaceAnswers, layout: Layout): string {
  const { mesh, findings } = answers,
    { paint, width } = layout;
  const own = findingLines(findings.filter(isOfMesh), paint, width);
  const blocks: Block[] = [
    [`Mesh: ${meshVerdict(mesh, findings)}`, capped(own, 'finding')],
    ['Surface', [...surfaceLines(answers), ...releaseLines(answers, width), ...wayUpLines(answers, width)]],
  ];
  if (answers.holes.length > 0) blocks.push([holesTitle(answers), holeLines(answers, width)]);
  return `${partLines(answers, width).join('\n')}\n\n${blocksText(blocks, layout)}`;
}

/** What follows: split, cutters, what is not milled, minutes, stages. */
export function workText(answers: WorkAnswers, layout: Layout): string {
  const { width } = layout;
  const blocks: Block[] = [
    ['Split', splitLines(answers, width)],
    ['Cutters, in order of use', ladderLines(answers, width)],
    [notMilledTitle(answers), notMilledLines(answers, width)],
    ['Time', timeLines(answers, width)],
    ['All stages, from the block', operationLines(answers, width)],
  ];
  return blocksText(blocks, layout);
}

/** The page's end: findings, files, cautions, where to look first. */
export function endText(
  { findings, cautions }: Plan,
  { written, ...layout }: Layout & Pick<SummaryOptions, 'written'>,
): string {
  const { paint, width } = layout;
  const others = findings.filter((finding) => !isOfMesh(finding));
  const blocks: Block[] = [];
  if (others.length > 0) blocks.push(['Also found', capped(findingLines(others, paint, width), 'finding')]);
  if (written !== null) {
    const names = wrapText(written.names.join('  '), width, '    ').map((line) => line.trimEnd());
    blocks.push(['Files', [`  ${written.directory}`, ...names]]);
  }
  if (cautions.length > 0)
    blocks.push(['Cautions', cautions.flatMap((caution) => wrapText(caution, width, '  '))]);
  const text = blocksText(blocks, layout);
  return written === null ? text.replace(/\n$/, '') : `${text}Report: ${reportPath(written)}\n`;
}

/** Where to look first. */
export const reportPath = ({ directory, names }: Written): string =>
  names.includes('report.html') ? `${directory}report.html` : directory;

/** The part, its size, its format and unit. */
export function partLines({ source, mesh }: Pick<Plan, 'source' | 'mesh'>, width: number): string[] {
  const [x, y, z] = mesh.boundsMm.max.map((high, k) => figure(high - mesh.boundsMm.min[k], 2));
  const { unit: known, unitFrom } = source;
  const unit =
    unitFrom === 'default'
      ? `${known} taken, none given`
      : unitFrom === 'guess'
        ? `${known}, guessed`
        : known;
  return wrapText(
    `${source.name}  ${x} x ${y} x ${z} mm  ${source.triangles} triangles  (${source.format}, unit: ${unit})`,
    width,
    '',
  );
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

/** Findings, the worst first, an item for each. */
export function findingLines(
  findings: readonly Omit<Finding, 'whereMm'>[],
  paint: (style: Style, text: string) => string,
  width: number,
): string[] {
  const order: Record<Severity, number> = { error: 0, warning: 1, info: 2 };
  const sorted = [...findings].sort((a, b) => order[a.severity] - order[b.severity]);
  return sorted.map((finding) => {
    const [first, ...rest] = wrapText(finding.message, width, '           ');
    return [`  ${paint(finding.severity, finding.severity.padEnd(7))}  ${first.trimStart()}`, ...rest].join(
      '\n',
    );
  });
}
