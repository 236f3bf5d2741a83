import { DEG_PER_RAD } from '../../core/units.js';
import { lengthText, radiusText, shown } from '../../write/report-numbers.js';
import { TEXT } from '../../write/report-text.js';
import type { SceneFacts } from '../../write/scene-facts.js';
import { make } from './elements.js';
import type { CutterPose, Point, Reading } from './probe.js';

const words = TEXT.view;

export interface ReadoutInput {
  readonly reading: Reading;
  readonly className: string;
  /** not asked where nothing is machined */
  readonly reachRadiusMm: number | null;
  readonly cutter: { readonly id: string; readonly RE: number };
  readonly pose: CutterPose | null;
  readonly facts: SceneFacts;
  /** leads to the region in the list; null where the list has none */
  readonly showRegion: ((region: number) => void) | null;
}

/** Below what is shown, a coordinate is nothing but rounding. */
const place = (point: Point): string => point.map((x) => shown(Math.abs(x) < 5e-4 ? 0 : x, 3)).join(', ');

/** What is known about a point, as name and value; `key` for programs. */
export function readingRows(input: ReadoutInput) {
  const { reading, className, reachRadiusMm, cutter, pose, facts } = input;
  if (facts.kinds.length > 0) {
    return [
      row('angle', words.wallAngle, `${shown(reading.wallAngleRad * DEG_PER_RAD, 2)}°`),
      row('defect', words.defect, facts.kinds[reading.region]?.name ?? ''),
      row('point', words.at3, place(reading.point)),
    ];
  }
  const largest = facts.radiiMm[facts.radiiMm.length - 1] ?? 0;
  const radius =
    reachRadiusMm === null
      ? words.notMachined
      : reachRadiusMm === Infinity
        ? words.unlimited(shown(largest, 3))
        : radiusText(reachRadiusMm);
  const rows = [
    row('angle', words.wallAngle, `${shown(reading.wallAngleRad * DEG_PER_RAD, 2)}°`),
    row('class', words.cls, className),
    row('radius', words.reachRadius, radius),
  ];
  if (pose !== null) {
    rows.push(
      row('gap', words.gap(cutter.id), pose.gapMm === Infinity ? words.noFit : lengthText(pose.gapMm, 3)),
    );
  }
  rows.push(row('region', words.region, reading.region < 0 ? words.elsewhere : String(reading.region)));
  rows.push(row('point', words.at3, place(reading.point)));
  if (pose !== null && pose.centre !== null && pose.contact !== null) {
    const [x, y, z] = pose.centre;
    rows.push(row('tip', words.tip, place([x, y, z - cutter.RE - facts.stockMm])));
    rows.push(row('contact', words.contact, place(pose.contact)));
  }
  const region = facts.regions[reading.region];
  if (region && region.cutterId !== null && region.stickoutMm !== null)
    rows.push(row('stickout', words.stickoutHere(region.cutterId), lengthText(region.stickoutMm, 1)));
  return rows;
}

const row = (key: string, name: string, value: string) => ({ key, name, value });

/** Shows the rows as a list of terms. */
export function fillReadout(box: HTMLElement, input: ReadoutInput): void {
  const list = make('dl');
  for (const { key, name, value } of readingRows(input)) {
    const text = make('dd', { textContent: value });
    text.dataset.key = key;
    if (key === 'region' && input.showRegion !== null)
      text.replaceChildren(regionLink(value, input.reading.region, input.showRegion));
    list.append(make('dt', { textContent: name }), text);
  }
  box.replaceChildren(list);
}

function regionLink(text: string, region: number, show: (region: number) => void): HTMLButtonElement {
  const ariaLabel = words.listed(text);
  const button = make('button', { type: 'button', className: 'link', textContent: text, ariaLabel });
  button.addEventListener('click', () => show(region));
  return button;
}

/** Distance of two points in words. */
export function distanceText(a: Point, b: Point): string {
  const [dx, dy, dz] = a.map((x, k) => Math.abs(b[k] - x)).map((x) => (x < 5e-4 ? 0 : x));
  return words.distance(
    shown(Math.sqrt(dx * dx + dy * dy + dz * dz), 3),
    shown(dx, 3),
    shown(dy, 3),
    shown(dz, 3),
  );
}
