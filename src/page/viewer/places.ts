import { TEXT } from '../../write/report-text.js';
import type { SceneFacts } from '../../write/scene-facts.js';
import { need } from './elements.js';
import type { Pointing } from './pointing.js';
import type { Point, Probe } from './probe.js';
import type { Stage } from './stage.js';

const words = TEXT.view;

/** Buttons of the tables, each of which shows its region in the view. */
export function bindPlaces(
  root: ParentNode,
  facts: SceneFacts,
  stage: Stage,
  pointing: Pointing,
  probe: Probe,
  say: (text: string) => void,
): void {
  const canvas = need(root, 'v-canvas', HTMLCanvasElement);
  const showRegion = (id: number): void => {
    const region = facts.regions.find((one) => one.id === id);
    if (!region) return;
    stage.rig.fit(...centredBounds(facts, region.boundsMm));
    stage.setPlace(null);
    pointing.choose(id);
    say(words.regionShown(id));
  };
  const showPlace = (name: string): void => {
    const place = facts.places[name];
    if (!place) return;
    pointing.choose(-1);
    stage.rig.lookFrom(...clearestView(place, probe));
    stage.rig.fit(...centredBounds(facts, place.boundsMm));
    stage.setPlace(place);
    stage.setMarks([[place.centreMm[0], place.centreMm[1], place.centreMm[2]], null]);
    markRow(root, name);
    say(words.placeShown(name));
  };
  root.querySelectorAll<HTMLElement>('[data-region],[data-place]').forEach((button) =>
    button.addEventListener('click', () => {
      const { region, place } = button.dataset;
      if (region !== undefined) showRegion(Number(region));
      else showPlace(String(place));
      need(root, 'v-stage', HTMLElement).scrollIntoView({ block: 'nearest' });
      canvas.focus({ preventScroll: true });
      stage.redraw();
    }),
  );
}

/** The row of a table that shows a place. */
function markRow(root: ParentNode, name: string): void {
  root
    .querySelector(`td [data-place="${name}"],th [data-place="${name}"]`)
    ?.closest('tr')
    ?.setAttribute('aria-current', 'true');
}

/** Directions from which places are looked at, degrees: those that look down into a pocket first. */
const ELEVATIONS = [55, 35, 75, 90, 15, -30];
const AZIMUTHS = [-60, -15, 30, 75, 120, 165, 210, 255];

/** From where nothing stands before the middle of a place; from the corner, if that is nowhere. */
function clearestView({ centreMm }: SceneFacts['places'][string], probe: Probe): [number, number] {
  const [x, y, z] = centreMm;
  const isClear = ([azimuth, elevation]: [number, number]): boolean => {
    const [a, e] = [(azimuth * Math.PI) / 180, (elevation * Math.PI) / 180];
    const eye: Point = [Math.cos(e) * Math.cos(a), Math.cos(e) * Math.sin(a), Math.sin(e)];
    const from: Point = [x + FAR_MM * eye[0], y + FAR_MM * eye[1], z + FAR_MM * eye[2]];
    const found = probe.readAlong(from, [-eye[0], -eye[1], -eye[2]], () => true);
    return found !== null && distance(found.point, centreMm) < NEAR_MM;
  };
  const all = ELEVATIONS.flatMap((e) => AZIMUTHS.map((a): [number, number] => [a, e]));
  return all.find(isClear) ?? [AZIMUTHS[0], ELEVATIONS[1]];
}

/** An eye far outside of any part, and how near to a place a look must meet the surface. */
const FAR_MM = 1e4,
  NEAR_MM = 0.2;

const distance = (a: readonly number[], b: readonly number[]): number =>
  Math.sqrt(a.reduce((sum, value, k) => sum + (value - b[k]) ** 2, 0));

/** Bounds as the stage sees them: about the middle of the part. */
export function centredBounds(
  { boundsMm }: Pick<SceneFacts, 'boundsMm'>,
  { min, max }: { readonly min: readonly number[]; readonly max: readonly number[] },
): [number[], number[]] {
  const middle = boundsMm.min.map((low, k) => (low + boundsMm.max[k]) / 2);
  return [min.map((x, k) => x - middle[k]), max.map((x, k) => x - middle[k])];
}
