import { figure } from '../core/figures.js';
import type { Finding } from '../core/findings.js';
import type { Source } from '../core/source.js';
import type { Plan } from '../plan/plan.js';
import { pointText } from './report-numbers.js';
import { TEXT } from './report-text.js';
import { findingLines, LEAST_WIDTH, meshVerdict, partLines, type SummaryOptions } from './summary.js';
import { counted } from './summary-sections.js';
import { textTable, wrapText } from './text-table.js';

const { kinds } = TEXT.check;

/** What a check found, and of a part that was fixed. */
export interface ToTell {
  readonly source: Source;
  readonly mesh: Plan['mesh'];
  readonly findings: readonly Finding[];
  readonly fixed: {
    readonly filledHoles: number;
    readonly droppedShells: number;
    readonly mesh: Plan['mesh'];
    readonly findings: readonly Finding[];
  } | null;
}

export interface CheckTextOptions extends Pick<SummaryOptions, 'paint' | 'width'> {
  /** what was written, if it was */
  readonly files: { readonly report: string | undefined; readonly fixed: string | undefined };
}

/** What `check` prints: the part, whether the mesh is fit, findings, counts; then what was written. */
export function checkText(
  { source, mesh, findings, fixed }: ToTell,
  { paint, width = LEAST_WIDTH, files }: CheckTextOptions,
): string {
  const counts: [string, string][] = [
    ['triangles', `${mesh.triangles}`],
    ['vertices', `${mesh.vertices}`],
    ['shells', `${mesh.shells}`],
    ['area', `${figure(mesh.areaMm2, 1)} mm²`],
    ['volume', mesh.volumeMm3 === null ? 'not computed' : `${figure(mesh.volumeMm3, 1)} mm³`],
    [kinds['open-edges'], `${mesh.openEdges}`],
    [kinds['non-manifold'], `${mesh.nonManifoldEdges}`],
    [kinds.degenerate, `${mesh.degenerateTriangles}`],
    [`${kinds.duplicate} or back to back`, `${mesh.duplicateTriangles}`],
    [kinds.flipped, `${mesh.flippedTriangles}`],
  ];
  const lines = [
    ...partLines({ source, mesh }, width),
    '',
    paint('heading', `Mesh: ${meshVerdict(mesh, findings)}`),
    ...findingLines(findings.map(withPlace), paint, width),
    ...textTable(counts, ['left', 'right']),
  ];
  if (fixed !== null && files.fixed !== undefined) {
    lines.push(
      '',
      paint('heading', `Fixed: ${meshVerdict(fixed.mesh, fixed.findings)}`),
      ...wrapText(fixedWords(fixed, files.fixed), width, '  '),
      ...findingLines(fixed.findings, paint, width),
    );
  }
  if (files.report !== undefined) lines.push('', `Report: ${files.report}`);
  return `${lines.join('\n')}\n`;
}

const withPlace = ({ whereMm, message, ...told }: Finding) => ({
  ...told,
  message:
    whereMm === null
      ? message
      : `${message} (${told.count > 1 ? 'the first at' : 'at'} ${pointText(whereMm)})`,
});

function fixedWords(
  { filledHoles, droppedShells, mesh }: NonNullable<ToTell['fixed']>,
  path: string,
): string {
  const besides = [
    ...(filledHoles > 0 ? [`${counted(filledHoles, 'small hole')} filled`] : []),
    ...(droppedShells > 0 ? [`${counted(droppedShells, 'shell')} of dust left out`] : []),
  ];
  const more = besides.length > 0 ? `; ${besides.join(', ')}` : '';
  return `${mesh.triangles} triangles written to ${path}, binary STL in mm${more}. What is left of findings:`;
}
