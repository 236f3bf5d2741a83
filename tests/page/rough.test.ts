import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import type { ChildProcess } from 'node:child_process';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { threeMfFile } from '../support/formats.js';
import { dracoGlb, meshoptGlb } from '../support/gltf-files.js';
import { boxPocket, rampBlock, roundPocket } from '../support/shapes.js';
import { binaryStl } from '../support/stl.js';
import {
  axeFindings,
  canvasPixels,
  launchBrowser,
  newPage,
  type PageOptions,
  startPage,
  surveyed,
  FINISHED_BY_TWO,
  viewReady,
  watch,
} from './browser.js';

// What may go wrong in the page, and what is seen while it computes.

let folder = '',
  browser: Browser,
  server: { readonly url: string; readonly child: ChildProcess };
const part = (): string => join(folder, 'pocket.stl'),
  /** so small that it is surveyed before anything of it could be seen */
  small = (): string => join(folder, 'small', 'pocket.stl'),
  setup = (): string => join(folder, 'setup.json');

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'scarp-rough-'));
  writeFileSync(part(), binaryStl(roundPocket({ segments: 48, filletFacets: 8 })));
  mkdirSync(join(folder, 'small'));
  writeFileSync(small(), binaryStl(boxPocket({ width: 12, length: 10, depth: 4, land: 3 })));
  writeFileSync(setup(), FINISHED_BY_TWO);
  browser = await launchBrowser();
  server = await startPage();
});
afterAll(async () => {
  server?.child.kill('SIGTERM');
  await browser?.close();
  rmSync(folder, { recursive: true });
});

async function openPage(
  options: PageOptions = {},
  prepare?: (page: Page) => Promise<unknown>,
): Promise<Page> {
  const page = await newPage(browser, options);
  await prepare?.(page);
  await page.goto(server.url);
  await page.setInputFiles('#s-file-file', setup());
  return page;
}

test('the part is seen, and turns, long before its results; then the report takes its place', async () => {
  const page = await openPage({ colorScheme: 'dark' });
  const { errors } = watch(page);
  await page.setInputFiles('#part', part());
  await page.waitForSelector('#early canvas');
  expect(await page.locator('#early figcaption').textContent()).toMatch(
    /^pocket\.stl after [\d.]+ s, coloured by wall angle/,
  );
  expect(await page.locator('#early .keys li').count()).toBe(9);
  expect(await page.evaluate(() => document.documentElement.dataset.done)).toBeUndefined();
  // A copy at once: the report may come at any moment.
  const painted = await page.evaluate(() => {
    const canvas = document.querySelector<HTMLCanvasElement>('#early canvas');
    if (!canvas) return null;
    const grab = (): string => canvas.toDataURL();
    const before = grab();
    canvas.dispatchEvent(new KeyboardEvent('keydown', { key: 'ArrowLeft', bubbles: true, cancelable: true }));
    return new Promise<boolean>((resolve) => {
      requestAnimationFrame(() => requestAnimationFrame(() => resolve(grab() !== before)));
    });
  });
  expect(painted).toBe(true);
  // Classes stand below the picture once they are final, and are those of the report.
  await page.waitForSelector('#early .early-answers table');
  const known = await page.locator('#early .early-answers').first().textContent();
  expect(known).toMatch(/^Final: classes and areas\. To come/);
  const classRows = () =>
    page.locator('table:has(caption:text-is("Surface classes, by wall angle")) tbody').last().textContent();
  const early = await classRows();
  await surveyed(page);
  expect(await page.locator('#early').isVisible()).toBe(false);
  expect(await page.locator('#say').textContent()).toMatch(
    /^pocket\.stl surveyed: picture after [\d.]+ s, all results after [\d.]+ s$/,
  );
  await viewReady(page);
  expect(await classRows()).toBe(early);
  expect((await canvasPixels(page)).painted).toBeGreaterThan(1000);
  // Surveyed again, the report stays until the new one is there.
  await page.click('#again');
  expect(await page.locator('#report').isVisible()).toBe(true);
  await page.waitForFunction(() => document.documentElement.dataset.done !== 'yes');
  await surveyed(page);
  expect(await page.locator('#say').textContent()).toMatch(/^pocket\.stl surveyed in [\d.]+ s$/);
  expect(errors).toEqual([]);
  await page.context().close();
});

test('without WebGL the page surveys all the same: tables, drawing, every file', async () => {
  const page = await openPage({}, (fresh) =>
    fresh.addInitScript(() => {
      const whole = HTMLCanvasElement.prototype.getContext;
      Object.assign(HTMLCanvasElement.prototype, {
        getContext(this: HTMLCanvasElement, kind: string) {
          return kind.startsWith('webgl') ? null : whole.call(this, kind);
        },
      });
    }),
  );
  const { errors } = watch(page);
  await page.setInputFiles('#part', small());
  await surveyed(page);
  expect(await page.locator('#error').textContent()).toBe('');
  await viewReady(page);
  expect(await page.locator('#v-note').textContent()).toContain('WebGL');
  expect(await page.locator('.answers strong').first().textContent()).toMatch(/^[\d.]+ min$/);
  expect(await page.locator('.drawing svg path').count()).toBeGreaterThan(0);
  const [download] = await Promise.all([
    page.waitForEvent('download'),
    page.click('#saves a[download="plan.json"]'),
  ]);
  expect(JSON.parse(readFileSync(await download.path(), 'utf8'))).toMatchObject({
    version: 1,
    source: { name: 'pocket.stl' },
  });
  expect(await axeFindings(page)).toEqual([]);
  expect(errors).toEqual([]);
  await page.context().close();
});

test('a part too large for a browser, and a computation that ends itself: said clearly, and the page goes on', async () => {
  let breaks = true;
  const page = await openPage({}, (fresh) =>
    fresh.route('**/survey-worker.js', (route) =>
      breaks
        ? route.fulfill({
            contentType: 'text/javascript',
            body: 'throw new RangeError("Array buffer allocation failed");',
          })
        : route.continue(),
    ),
  );
  await page.evaluate(() => {
    const file = new File(['solid'], 'huge.stl');
    Object.defineProperty(file, 'size', { value: 2 ** 31 });
    const transfer = new DataTransfer();
    const event = new DragEvent('drop', { bubbles: true, cancelable: true, dataTransfer: transfer });
    Object.defineProperty(event, 'dataTransfer', { value: { files: [file] } });
    document.body.dispatchEvent(event);
  });
  await surveyed(page);
  expect(await page.locator('#error').textContent()).toMatch(/huge\.stl.*2 GB.*command line/);
  await page.setInputFiles('#part', small());
  await page.waitForFunction(() => document.querySelector('#error')!.textContent!.includes('memory'));
  expect(await page.locator('#work').isVisible()).toBe(false);
  breaks = false;
  await page.click('#again');
  await page.waitForFunction(() => document.documentElement.dataset.done !== 'yes');
  await surveyed(page);
  expect(await page.locator('#error').textContent()).toBe('');
  expect(await page.locator('#report h1').textContent()).toBe('pocket.stl');
  await page.context().close();
});

// Web Content Accessibility Guidelines 2.2, 2.3.3: motion that is not essential can be switched off.
test('nothing moves by itself where less motion is asked for', async () => {
  const page = await openPage({ reducedMotion: 'reduce' });
  await page.setInputFiles('#part', small());
  await surveyed(page);
  expect(await page.locator('#error').textContent()).toBe('');
  await viewReady(page);
  await page.click('#v-from-top');
  const moving = await page.evaluate(
    () =>
      new Promise<number>((resolve) => {
        requestAnimationFrame(() => resolve(document.getAnimations().length));
      }),
  );
  expect(moving).toBe(0);
  const lasting = await page.evaluate(
    () =>
      [...document.querySelectorAll('*')].filter((element) => {
        const { transitionDuration, animationDuration, scrollBehavior } = getComputedStyle(element);
        return (
          Number.parseFloat(transitionDuration) > 0 ||
          Number.parseFloat(animationDuration) > 0 ||
          scrollBehavior === 'smooth'
        );
      }).length,
  );
  expect(lasting).toBe(0);
  await page.context().close();
});

// Both decoders are WebAssembly, which the page's own policy has to let through.
test('packed GLB and 3MF are read in the page, and STEP is refused in one line', async () => {
  const block = rampBlock(40, 20, 10);
  const files = {
    'draco.glb': (await dracoGlb(block, 14)).glb,
    'meshopt.glb': (await meshoptGlb(block)).glb,
    'block.3mf': threeMfFile(block),
    'block.step': new TextEncoder().encode('ISO-10303-21;\nHEADER;\n'),
  };
  const page = await openPage();
  const { errors, requests } = watch(page);
  for (const [name, bytes] of Object.entries(files)) {
    await page.setInputFiles('#part', { name, mimeType: '', buffer: Buffer.from(bytes) });
    await surveyed(page);
    const refused = name.endsWith('.step');
    expect(await page.locator('#error').textContent()).toMatch(refused ? /STEP.*export the part/ : /^$/);
    if (!refused) expect(await page.locator('#report h1').textContent()).toBe(name);
  }
  expect(errors).toEqual([]);
  expect(requests.filter((url) => !url.startsWith(server.url))).toEqual([]);
  await page.context().close();
});
