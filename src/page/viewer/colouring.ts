import { CLASSES, MACHINABLE_CLASSES, type SurfaceClass } from '../../core/classes.js';
import { minutesText } from '../../write/report-numbers.js';
import { TEXT } from '../../write/report-text.js';
import type { ColourMode } from '../../write/scene-facts.js';
import type { ViewData } from '../../write/view-data.js';
import { bandsOf } from './bands.js';
import { liveBorders } from './border-lines.js';
import { bindSlider, need, onClick } from './elements.js';
import { paintGaps } from './gap-painter.js';
import { fillLegend } from './legend.js';
import type { ViewParts } from './pointing.js';
import type { Reading } from './probe.js';
import { splitAreas, splitMore } from './split-areas.js';
import { setBands } from './surface-material.js';

const words = TEXT.view;

export interface ColouringInput extends ViewParts {
  readonly view: ViewData;
  /** told that classes moved */
  readonly onSplit: () => void;
}

const moreText = (minutes: number): string =>
  (minutes < 0 ? words.less : words.more)(minutesText(Math.abs(minutes)));

/** What the surface is coloured by, the split, and the legend. */
// biome-ignore lint/complexity/noExcessiveLinesPerFunction: its inner functions share mode and split as they stand.
export function bindColouring(
  root: ParentNode,
  { view, facts, stage, probe, cutter, say, onSplit }: ColouringInput,
) {
  const legend = need(root, 'v-legend', HTMLElement),
    live = need(root, 'v-live', HTMLElement);
  const task = need(root, 'v-task', HTMLElement);
  const modeList = need(root, 'v-mode', HTMLSelectElement);
  let mode: ColourMode = facts.modes[0],
    splitDeg = facts.split.angleDeg,
    overlapDeg = facts.split.overlapDeg;
  const hidden = new Set<SurfaceClass>();
  let stopPainting = (): void => {},
    computed = 1;
  const isLive = (): boolean => splitDeg !== facts.split.angleDeg || overlapDeg !== facts.split.overlapDeg;
  const endDeg = (): number => Math.min(90, splitDeg + overlapDeg);

  function hint(): string {
    if (mode === 'gap') return words.fieldHints.gap(cutter().id);
    if (mode === 'scallop') return words.fieldHints.scallop(facts.passes.cutterId);
    if (mode === 'stickout' || mode === 'finisher') return words.fieldHints[mode];
    const more = mode === 'class' && isLive() ? splitMore(facts, splitDeg, overlapDeg) : null;
    return [isLive() ? words.live : '', more === null ? '' : words.minutes(moreText(more))]
      .filter((text) => text !== '')
      .join(' ');
  }

  function applyColours(): void {
    const bands = bandsOf(mode, facts, computed === 1),
      { uniforms } = stage.material;
    uniforms.live.value = isLive();
    uniforms.split.value = [(splitDeg * Math.PI) / 180, (endDeg() * Math.PI) / 180];
    setBands(stage.material, mode, bands);
    const areas: Record<SurfaceClass, number> = {
      ...facts.classAreasMm2,
      ...(isLive() ? splitAreas(facts, splitDeg, overlapDeg) : {}),
    };
    uniforms.hide.value = [...CLASSES, null].map((name) => name !== null && hidden.has(name));
    fillLegend(legend, { bands, facts, areas, splitDeg, endDeg: endDeg(), hidden, onToggle: toggleClass });
    live.textContent = hint();
    stage.redraw();
  }

  function toggleClass(name: SurfaceClass): void {
    if (!hidden.delete(name)) hidden.add(name);
    applyColours();
    legend.querySelector<HTMLElement>(`li[data-cls=${name}] button`)?.focus();
  }

  function applySplit(deg: number, overlap: number): void {
    [splitDeg, overlapDeg] = [deg, overlap];
    stage.setBorders(isLive() ? liveBorders(view, facts, splitDeg, endDeg()) : null);
    applyColours();
    onSplit();
  }

  function showGaps(gaps: Float32Array, share: number): void {
    const isOther = (share === 1) !== (computed === 1);
    computed = share;
    stage.setGaps(gaps.slice());
    showShare();
    if (isOther) applyColours();
    else stage.redraw();
    if (share === 1) say(`${words.colourModes.gap}: ${cutter().id}`);
  }

  /** How far the gaps are, over the picture. */
  function showShare(): void {
    task.hidden = computed === 1;
    if (task.hidden) return;
    need(task, 'v-task-bar', HTMLProgressElement).value = computed;
    need(task, 'v-task-name', HTMLElement).textContent = words.working(
      cutter().id,
      String(Math.round(100 * computed)),
    );
  }

  function apply(): void {
    stopPainting();
    computed = 1;
    showShare();
    applyColours();
    if (mode === 'gap') stopPainting = paintGaps(view, facts, probe, cutter(), showGaps);
  }

  modeList.addEventListener('change', () => {
    mode = facts.modes[modeList.selectedIndex] ?? facts.modes[0];
    apply();
  });
  const setSplit = bindSlider(root, 'v-split', (deg) => applySplit(deg, overlapDeg));
  const setOverlap = bindSlider(root, 'v-overlap', (deg) => applySplit(splitDeg, deg));
  onClick(root, 'v-reset', () => {
    applySplit(facts.split.angleDeg, facts.split.overlapDeg);
    setSplit(splitDeg);
    setOverlap(overlapDeg);
  });
  return {
    /** Colours by what is chosen, for the cutter chosen. */
    apply,
    /** what the surface is coloured by */
    mode: (): ColourMode => mode,
    /** Whether a facet belongs to a class that is hidden. */
    hides: (facet: number): boolean => {
      const region = view.regions[view.triangles[3 * facet]];
      return region >= 0 && hidden.has(facts.classOfRegion[region]);
    },
    cutterChanged: (): void => {
      if (mode === 'gap') apply();
    },
    /** Class at a point, for the split as it stands. */
    classAt: ({ region, wallAngleRad }: Reading): string => {
      if (region < 0) return words.elsewhere;
      const name = facts.classOfRegion[region];
      if (!isLive() || CLASSES.indexOf(name) >= MACHINABLE_CLASSES) return name;
      const deg = (wallAngleRad * 180) / Math.PI;
      if (deg <= 0.5) return 'level';
      return deg < splitDeg ? 'shallow' : deg <= endDeg() ? 'overlap' : 'steep';
    },
  };
}
