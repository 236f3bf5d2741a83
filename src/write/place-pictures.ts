import { figure } from '../core/figures.js';
import type { NotMilled, Plan } from '../plan/plan.js';
import { notMilledName, remediesWords } from './not-milled-words.js';
import { areaText, lengthText, wrappable } from './report-numbers.js';
import { TEXT } from './report-text.js';
import { mmText, niceLengthMm } from './svg-text.js';

const text = TEXT.report.notMilled;

/** An upright section through a place. */
export interface PlaceSection {
  readonly place: NotMilled;
  /** it lies in a plane of one x; else of one y */
  readonly isAcrossX: boolean;
  readonly atMm: number;
  /** what is shown, mm: along the section, and height */
  readonly frame: { readonly min: readonly [number, number]; readonly max: readonly [number, number] };
  /** lists of u, z: closed loops of the part, open lines of a mesh with gaps, lines of the place */
  readonly solid: readonly (readonly number[])[];
  readonly open: readonly (readonly number[])[];
  readonly marked: readonly (readonly number[])[];
}

/** Of each place its position in plan and a section through it. */
export function placePictures(plan: Plan, sections: readonly PlaceSection[]): string {
  const outline = plan.regions
    .flatMap(({ rings }) => rings)
    .map((ring) => `M${ring.map(([x, y]) => `${mmText(x)} ${mmText(-y)}`).join('L')}Z`)
    .join('');
  const figures = sections.map((section) => {
    const { place } = section;
    const told = `${notMilledName(place)}: ${areaText(place.areaMm2)}, ${text.belowTop(lengthText(place.depthMm, 1))}; ${remediesWords(place)}`;
    return `<figure class="place"><div>${planSvg(plan, place)}${sectionSvg(section)}</div><figcaption>${wrappable(told)}</figcaption></figure>`;
  });
  // The outline of the part is drawn once and shown in every picture.
  return `<svg class="key" aria-hidden="true"><defs><path id="plan-outline" d="${outline}"/></defs></svg><div class="places">${figures.join('\n')}</div>`;
}

/** Under a section, for its scale. */
const STRIP = 21;
const FIXED = ' vector-effect="non-scaling-stroke"';

function planSvg({ mesh }: Plan, { centreMm, boundsMm }: NotMilled): string {
  const { min, max } = mesh.boundsMm;
  const size = Math.max(max[0] - min[0], max[1] - min[1]),
    margin = 0.04 * size;
  // Round a small place a circle, round a long one what fits it.
  const [width, depth] = [0, 1].map((k) => Math.max(0.1 * size, boundsMm.max[k] - boundsMm.min[k] + margin));
  const [x, y] = [width, depth].map((wide, k) => (boundsMm.min[k] + boundsMm.max[k] - wide) / 2);
  const mark = { x, y: -y - depth, width, height: depth, rx: Math.min(width, depth) / 2 };
  const drawn = Object.entries(mark).map(([name, mm]) => ` ${name}="${mmText(mm)}"`);
  const box = [min[0] - margin, -max[1] - margin, max[0] - min[0] + 2 * margin, max[1] - min[1] + 2 * margin];
  return (
    `<svg viewBox="${box.map(mmText).join(' ')}" role="img" aria-label="${text.inPlan(figure(centreMm[0], 1), figure(centreMm[1], 1))}">` +
    `<use href="#plan-outline" class="outline"/><rect${drawn.join('')} class="mark"${FIXED}/></svg>`
  );
}

function sectionSvg({ isAcrossX, atMm, frame: { min, max }, solid, open, marked }: PlaceSection): string {
  const width = max[0] - min[0],
    height = max[1] - min[1];
  const path = (lines: readonly (readonly number[])[], end: string): string =>
    lines
      .filter((line) => line.length > 2)
      .map((line) => {
        const points: string[] = [];
        for (let i = 0; i < line.length; i += 2)
          points.push(`${mmText(line[i] - min[0])} ${mmText(max[1] - line[i + 1])}`);
        return `M${points.join('L')}${end}`;
      })
      .join('');
  const bar = niceLengthMm(0.35 * width);
  const at = `${isAcrossX ? 'x' : 'y'} = ${figure(Math.round(10 * atMm) / 10, 1)}`;
  // Drawn into a box of about 165 by 150, whichever side is the tighter: letters of 10 there, on a strip of their own.
  const unit = Math.max(width / 165, height / (150 - STRIP)),
    left = 4 * unit;
  return (
    `<svg viewBox="0 0 ${mmText(width)} ${mmText(height + STRIP * unit)}" role="img" aria-label="${text.section(at)}">` +
    `<path d="${path(solid, 'Z')}" class="solid" fill-rule="evenodd"${FIXED}/><path d="${path(open, '')}" class="outline"${FIXED}/>` +
    `<path d="${path(marked, '')}" class="mark"${FIXED}/>` +
    `<path d="M${mmText(left)} ${mmText(height + 5 * unit)}h${mmText(bar)}" class="bar"${FIXED}/>` +
    `<text x="${mmText(left)}" y="${mmText(height + 17 * unit)}" font-size="${mmText(10 * unit)}">${figure(bar, 3)} mm, ${at}</text></svg>`
  );
}
