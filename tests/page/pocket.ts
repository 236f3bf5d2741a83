import { writeFileSync } from 'node:fs';
import type { Browser, Page } from 'playwright-core';
import { DEFAULT_CATALOGUE } from '../../src/cutter/default-catalogue.js';
import { SETUP_DEFAULTS } from '../../src/resolve-setup.js';
import { surveyPart, type Survey } from '../../src/survey/survey.js';
import { roundPocket } from '../support/shapes.js';
import { binaryStl } from '../support/stl.js';
import { mmPerPixel, newPage, viewReady, watch, type PageOptions } from './browser.js';

/** The round pocket as it stands on Z = 0, mm: axis at x = y = 0. */
export const POCKET = { side: 60, top: 25, floorZ: 10, floorRadius: 17, fillet: 3, wallRadius: 20 } as const;
export const TOLERANCE = SETUP_DEFAULTS.toleranceMm;
/** Two balls: one that fits the fillet, one that does not. */
const CUTTERS = DEFAULT_CATALOGUE.filter(({ id }) => id === 'ball-4' || id === 'ball-8');

/** The round pocket is surveyed once, for all files of a run that look at its report. */
let surveyed: Promise<Survey> | null = null;
const survey = (): Promise<Survey> =>
  surveyPart(
    binaryStl(roundPocket({ segments: 96, filletFacets: 24 })),
    'pocket.stl',
    {
      ...SETUP_DEFAULTS,
      unit: 'mm',
      radiiMm: [2, 4],
      cutters: CUTTERS,
      partDate: '2026-01-02',
    },
    {},
  );

/** Writes the report of the round pocket. */
export async function pocketReport(path: string): Promise<void> {
  surveyed ??= survey();
  const { files } = await surveyed;
  writeFileSync(path, String(files.get('report.html')));
}

/** The report in a page of its own, where nothing may go wrong on the console. */
export async function openReport(
  browser: Browser,
  path: string,
  options: PageOptions = {},
): Promise<{ readonly page: Page; readonly errors: readonly string[] }> {
  const page = await newPage(browser, options);
  const { errors } = watch(page);
  await page.goto(`file://${path}`);
  await viewReady(page);
  return { page, errors };
}

/**
 * How the controls of a report are set, those that fold among them. To open one takes ten times as long as to draw it, so
 * tests look at the same and leave it as they found it.
 *
 * @param before they are set to this first; null: left as they are
 */
export const settings = (page: Page, before: readonly string[] | null): Promise<string[]> =>
  page.evaluate((asked) => {
    const controls = [
      ...document.querySelectorAll<HTMLElement>(
        '.view :is(select,input,button[aria-pressed]):not(#v-legend *),details',
      ),
    ];
    const read = (own: HTMLElement): string => {
      if (own instanceof HTMLDetailsElement) return String(own.open);
      if (own instanceof HTMLButtonElement) return own.getAttribute('aria-pressed')!;
      const { type, checked, value } = own as HTMLInputElement;
      return type === 'checkbox' ? String(checked) : value;
    };
    const set = (own: HTMLElement, to: string): void => {
      if (own instanceof HTMLDetailsElement) own.open = to === 'true';
      else if (own instanceof HTMLButtonElement || (own as HTMLInputElement).type === 'checkbox') own.click();
      else {
        (own as HTMLInputElement).value = to;
        for (const kind of ['input', 'change']) own.dispatchEvent(new Event(kind, { bubbles: true }));
      }
    };
    // Twice: to set where a section lies switches it on.
    for (let i = 0; asked !== null && i < 2; i++)
      controls.forEach((own, k) => {
        if (read(own) !== asked[k]) set(own, asked[k]);
      });
    if (asked !== null)
      for (const hidden of document.querySelectorAll<HTMLElement>('#v-legend button[aria-pressed=false]'))
        hidden.click();
    return controls.map(read);
  }, before);

/** Sets a report as it was when it was opened: its controls, nothing read or picked, seen from the corner. */
export async function asOpened(page: Page, before: readonly string[]): Promise<void> {
  await press(page, 'Escape');
  await settings(page, before);
  await press(page, '1');
}

/** Draws, and waits until it is drawn. */
export const drawn = (page: Page): Promise<void> =>
  page.evaluate(
    () =>
      new Promise((resolve) => {
        requestAnimationFrame(() => requestAnimationFrame(() => resolve()));
      }),
  );

/** Presses a key on the view. */
export async function press(page: Page, key: string): Promise<void> {
  await page.locator('#v-canvas').press(key);
  await drawn(page);
}

/** Clicks so many mm to the right and up of the middle of the view. */
export async function clickAt(page: Page, rightMm: number, upMm: number): Promise<void> {
  await page.locator('#v-canvas').evaluate((canvas) => canvas.scrollIntoView({ block: 'center' }));
  const box = (await page.locator('#v-canvas').boundingBox())!,
    scale = await mmPerPixel(page);
  await page.mouse.click(box.x + box.width / 2 + rightMm / scale, box.y + box.height / 2 - upMm / scale);
  await drawn(page);
}

export interface Box {
  /** mm from the middle of the view */
  readonly left: number;
  readonly right: number;
  readonly low: number;
  readonly high: number;
  readonly pixels: number;
}

/** Keeps the picture as it is, to compare with. */
export const keepPicture = (page: Page): Promise<void> =>
  page.evaluate(() => {
    const canvas = document.querySelector<HTMLCanvasElement>('#v-canvas')!,
      copy = document.createElement('canvas');
    Object.assign(copy, { width: canvas.width, height: canvas.height });
    copy.getContext('2d')!.drawImage(canvas, 0, 0);
    Object.assign(globalThis, { kept: copy });
  });

/** Where the picture differs from the one kept, or, without one, where anything is painted. */
export async function changedBox(page: Page, kept = true): Promise<Box> {
  const found = await page.evaluate((useKept) => {
    const canvas = document.querySelector<HTMLCanvasElement>('#v-canvas')!,
      { width, height } = canvas;
    const pixels = (source: CanvasImageSource | null): Uint8ClampedArray => {
      const copy = document.createElement('canvas');
      Object.assign(copy, { width, height });
      const context = copy.getContext('2d')!;
      if (source) context.drawImage(source, 0, 0);
      return context.getImageData(0, 0, width, height).data;
    };
    const now = pixels(canvas),
      before = pixels(useKept ? (globalThis as unknown as { kept: HTMLCanvasElement }).kept : null);
    let left = width,
      right = -1,
      high = height,
      low = -1,
      count = 0;
    for (let i = 0; i < width * height; i++) {
      let k = 0;
      while (k < 4 && Math.abs(now[4 * i + k] - before[4 * i + k]) < 40) k++;
      if (k === 4) continue;
      const x = i % width,
        y = Math.floor(i / width);
      left = Math.min(left, x);
      right = Math.max(right, x + 1);
      high = Math.min(high, y);
      low = Math.max(low, y + 1);
      count++;
    }
    return {
      left: left - width / 2,
      right: right - width / 2,
      low: height / 2 - low,
      high: height / 2 - high,
      pixels: count,
      ratio: width / canvas.clientWidth,
    };
  }, kept);
  const scale = (await mmPerPixel(page)) / found.ratio;
  return {
    left: found.left * scale,
    right: found.right * scale,
    low: found.low * scale,
    high: found.high * scale,
    pixels: found.pixels,
  };
}
