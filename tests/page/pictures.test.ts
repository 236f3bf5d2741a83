import { existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { launchBrowser, type PageOptions } from './browser.js';
import { asOpened, drawn, openReport as open, pocketReport, press, settings } from './pocket.js';

// Pictures of the report, compared with those kept under `pictures`. `WRITE_PICTURES=1` writes them anew:
// look at them before committing. The browser itself decodes and compares, so that no package is needed.
const KEPT = new URL('pictures/', import.meta.url).pathname;
const WRITES = process.env.WRITE_PICTURES === '1';

/**
 * Means over squares of so many pixels are compared: edges may fall a pixel to the side, letters look
 * otherwise.
 */
interface Tolerance {
  readonly square: number;
  /** of 255, mean over the picture, and the worst square */
  readonly mean: number;
  readonly worst: number;
}
/** Drawn by the same software on every machine. */
const OF_VIEW: Tolerance = { square: 8, mean: 0.5, worst: 24 };
/** With whatever letters the machine has. */
const OF_PAGE: Tolerance = { square: 32, mean: 8, worst: 110 };

let folder = '',
  browser: Browser,
  /** for tests that look at the view alone */
  page: Page,
  errors: readonly string[],
  opened: readonly string[];
const report = (): string => join(folder, 'report.html');

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'scarp-pictures-'));
  await pocketReport(report());
  browser = await launchBrowser();
  ({ page, errors } = await openReport({ viewport: { width: 620, height: 480 } }));
  opened = await settings(page, null);
});
afterAll(async () => {
  await browser?.close();
  rmSync(folder, { recursive: true });
});

const openReport = (options: PageOptions) => open(browser, report(), { smooth: true, ...options });
const dataUrl = (png: Buffer): string => `data:image/png;base64,${png.toString('base64')}`;

async function compare(name: string, png: Buffer, tolerance: Tolerance): Promise<void> {
  const path = join(KEPT, `${name}.png`);
  if (WRITES) {
    mkdirSync(KEPT, { recursive: true });
    writeFileSync(path, png);
  }
  expect(existsSync(path), `${path} is kept`).toBe(true);
  const found = await difference(png, readFileSync(path), tolerance.square);
  expect(found.sizes[0], name).toBe(found.sizes[1]);
  expect({ name, ...found, off: found.mean > tolerance.mean || found.worst > tolerance.worst }).toMatchObject(
    { off: false },
  );
}

/** Differences of two pictures over squares, of 255. */
async function difference(
  one: Buffer,
  other: Buffer,
  squarePixels: number,
): Promise<{ readonly sizes: readonly string[]; readonly mean: number; readonly worst: number }> {
  const page = await browser.newPage();
  const found = await page.evaluate(
    async ({ urls, square }) => {
      const pixels = await Promise.all(
        urls.map(async (url) => {
          const image = new Image();
          image.src = url;
          await image.decode();
          const canvas = document.createElement('canvas');
          Object.assign(canvas, { width: image.width, height: image.height });
          const context = canvas.getContext('2d')!;
          context.drawImage(image, 0, 0);
          return context.getImageData(0, 0, image.width, image.height);
        }),
      );
      const [a, b] = pixels,
        { width, height } = a;
      const sizes = pixels.map((one) => `${one.width} x ${one.height}`);
      if (sizes[0] !== sizes[1]) return { sizes, mean: 255, worst: 255 };
      let sum = 0,
        worst = 0,
        squares = 0;
      for (let y0 = 0; y0 < height; y0 += square) {
        for (let x0 = 0; x0 < width; x0 += square) {
          let off = 0,
            count = 0;
          for (let k = 0; k < 3; k++) {
            let difference = 0;
            count = 0;
            for (let y = y0; y < Math.min(height, y0 + square); y++) {
              for (let x = x0; x < Math.min(width, x0 + square); x++, count++) {
                const at = 4 * (y * width + x) + k;
                difference += a.data[at] - b.data[at];
              }
            }
            off = Math.max(off, Math.abs(difference) / count);
          }
          sum += off;
          squares++;
          worst = Math.max(worst, off);
        }
      }
      return { sizes, mean: sum / squares, worst };
    },
    { urls: [dataUrl(one), dataUrl(other)], square: squarePixels },
  );
  await page.close();
  return found;
}

const viewPicture = async (page: Page): Promise<Buffer> => {
  await drawn(page);
  const url = await page
    .locator('#v-canvas')
    .evaluate((canvas) => (canvas as HTMLCanvasElement).toDataURL('image/png'));
  return Buffer.from(url.slice(url.indexOf(',') + 1), 'base64');
};

test('four views: by class from the corner, by reach from above, a section by wall angle, stickout in perspective', async () => {
  await compare('class-corner', await viewPicture(page), OF_VIEW);
  await page.selectOption('#v-mode', 'reach');
  await press(page, '2');
  await compare('reach-top', await viewPicture(page), OF_VIEW);
  await page.selectOption('#v-mode', 'angle');
  await press(page, '1');
  await press(page, 'x');
  await compare('angle-section', await viewPicture(page), OF_VIEW);
  await press(page, 'x');
  await page.selectOption('#v-mode', 'stickout');
  await press(page, 'p');
  await press(page, 'f');
  await compare('stickout-perspective', await viewPicture(page), OF_VIEW);
  expect(errors).toEqual([]);
});

test('a split moved by 25 degrees is more than the tolerance lets pass', async () => {
  await asOpened(page, opened);
  const surveyed = await viewPicture(page);
  await page.fill('#v-split-number', '20');
  await page.press('#v-split-number', 'Tab');
  const { worst } = await difference(surveyed, await viewPicture(page), OF_VIEW.square);
  expect(worst).toBeGreaterThan(2 * OF_VIEW.worst);
});

test('the first screen of a phone, and a dark one', async () => {
  const phone = await openReport({
    viewport: { width: 375, height: 760 },
    isMobile: true,
    hasTouch: true,
  });
  await compare('phone', await phone.page.screenshot(), OF_PAGE);
  await phone.page.context().close();
  const dark = await openReport({
    colorScheme: 'dark',
    viewport: { width: 1100, height: 800 },
  });
  await compare('dark', await dark.page.screenshot(), OF_PAGE);
  await dark.page.context().close();
});

test('paper: pages of A4, the plan at its scale on one of its own that lies across, the first as kept', async () => {
  // A4 less its margins, at 96 pixels to the inch.
  const { page } = await openReport({ viewport: { width: 703, height: 1032 } });
  const pdf = (await page.pdf({ preferCSSPageSize: true })).toString('latin1');
  const boxes = [...pdf.matchAll(/\/MediaBox\s*\[([\d.\s]+)\]/g)].map((found) =>
    found[1]
      .trim()
      .split(/\s+/)
      .map((points) => Math.round((Number(points) * 25.4) / 72)),
  );
  // ISO 216: 210 mm by 297 mm, in points of 1/72 inch.
  const upright = [0, 0, 210, 297];
  expect(boxes).toEqual([upright, upright, [0, 0, 297, 210]]);
  await page.emulateMedia({ media: 'print' });
  await page.evaluate(() => dispatchEvent(new Event('beforeprint')));
  await page.waitForFunction(() => document.querySelector<HTMLImageElement>('#v-print')!.complete);
  await compare('paper', await page.screenshot(), OF_PAGE);
  // A browser prints what is wider than the paper smaller, all pages alike: the plan would lose its scale.
  const widths = await page.evaluate(() => {
    const wide = (): number => document.documentElement.scrollWidth;
    const asMade = wide();
    for (const cell of document.querySelectorAll('td:not(.n),tbody th')) cell.append(' and so on'.repeat(20));
    return [asMade, wide()];
  });
  expect(widths).toEqual([703, 703]);
  await page.context().close();
});
