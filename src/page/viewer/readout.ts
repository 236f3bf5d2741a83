import { DEG_PER_RAD } from '../../core/units.js';
import { radiusText, shown } from '../../write/report-numbers.js';
import { TEXT } from '../../write/report-text.js';
import type { SceneFacts } from '../../write/scene-facts.js';
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

interface Row {
  readonly key: string;
  readonly name: string;
  readonly value: string;
}

/** What is known about a point, as name and value; `key` for programs. */
export function readingRows(input: ReadoutInput): Row[] {
  const { reading, className, reachRadiusMm, cutter, pose, facts } = input;
  const rows: Row[] = [
    { key: 'angle', name: words.wallAngle, value: `${shown(reading.wallAngleRad * DEG_PER_RAD, 2)}°` },
    { key: 'class', name: words.cls, value: className },
    {
      key: 'region',
      name: words.region,
      value: reading.region < 0 ? words.elsewhere : String(reading.region),
    },
    { key: 'point', name: words.at3, value: place(reading.point) },
  ];
  const largest = facts.radiiMm[facts.radiiMm.length - 1] ?? 0;
  const radius =
    reachRadiusMm === null
      ? words.notMachined
      : reachRadiusMm === Infinity
        ? words.unlimited(shown(largest, 3))
        : reachRadiusMm === 0
          ? words.sharp
          : radiusText(reachRadiusMm);
  rows.splice(2, 0, { key: 'radius', name: words.reachRadius, value: radius });
  if (pose !== null) {
    rows.splice(3, 0, {
      key: 'gap',
      name: words.gap(cutter.id),
      value: pose.gapMm === Infinity ? words.noFit : `${shown(pose.gapMm, 3)} mm`,
    });
    if (pose.centre !== null && pose.contact !== null) {
      const [x, y, z] = pose.centre;
      rows.push({ key: 'tip', name: words.tip, value: place([x, y, z - cutter.RE - facts.stockMm]) });
      rows.push({ key: 'contact', name: words.contact, value: place(pose.contact) });
    }
  }
  const region = facts.regions[reading.region];
  if (region && region.cutterId !== null && region.stickoutMm !== null) {
    rows.push({
      key: 'stickout',
      name: words.stickoutHere(region.cutterId),
      value: `${shown(region.stickoutMm, 1)} mm`,
    });
  }
  return rows;
}

/** Shows the rows as a list of terms. */
export function fillReadout(box: HTMLElement, input: ReadoutInput): void {
  const list = document.createElement('dl');
  for (const { key, name, value } of readingRows(input)) {
    const term = document.createElement('dt'),
      text = document.createElement('dd');
    term.textContent = name;
    text.textContent = value;
    text.dataset.key = key;
    if (key === 'region' && input.showRegion !== null)
      text.replaceChildren(regionLink(value, input.reading.region, input.showRegion));
    list.append(term, text);
  }
  box.replaceChildren(list);
}

function regionLink(text: string, region: number, show: (region: number) => void): HTMLButtonElement {
  const button = document.createElement('button');
  button.type = 'button';
  button.className = 'link';
  button.textContent = text;
  button.ariaLabel = words.listed(text);
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
