import type { ChildProcess } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { roundPocket } from '../support/shapes.js';
import { binaryStl } from '../support/stl.js';
import {
  axeFindings,
  launchBrowser,
  newPage,
  startPage,
  surveyed,
  TWO_CUTTERS,
  viewReady,
  watch,
} from './browser.js';

let folder = '',
  browser: Browser,
  server: { readonly url: string; readonly child: ChildProcess };
const part = (): string => join(folder, 'pocket.stl'),
  setup = (): string => join(folder, 'setup.json'),
  report = (): string => join(folder, 'report.html');

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'scarp-screens-'));
  writeFileSync(part(), binaryStl(roundPocket({ segments: 48, filletFacets: 8 })));
  writeFileSync(setup(), TWO_CUTTERS);
  browser = await launchBrowser();
  server = await startPage();
});
afterAll(async () => {
  server?.child.kill('SIGTERM');
  await browser?.close();
  rmSync(folder, { recursive: true });
});

const SIZES = [
  { width: 1440, height: 900 },
  { width: 390, height: 844 },
];

/**
 * What is wrong with a screen at both sizes, light and dark: what axe finds, of the dark one in its colours, the rest being
 * the same, and what runs off to the side.
 */
async function wrongWith(page: Page, screen: string): Promise<string[]> {
  const wrong: string[] = [];
  for (const viewport of SIZES) {
    await page.setViewportSize(viewport);
    for (const colorScheme of ['light', 'dark'] as const) {
      await page.emulateMedia({ colorScheme });
      const where = `${screen}, ${viewport.width} px, ${colorScheme}: `;
      wrong.push(...(await axeFindings(page, colorScheme === 'dark')).map((found) => where + found));
      const wide = await page.evaluate(() => document.documentElement.scrollWidth);
      if (wide > viewport.width) wrong.push(`${where}${wide} px wide`);
    }
  }
  return wrong;
}

/** In place of threads that answer for reach: a survey waits for them for good, and leaves the processor to the checks. */
const SILENT = 'self.Worker = class { postMessage() {} addEventListener() {} terminate() {} };';

test('no screen of the page has anything that axe finds, at 1440 and 390 px, light and dark', async () => {
  const page = await newPage(browser);
  const { errors } = watch(page);
  let isSilent = true;
  await page.route('**/survey-worker.js', async (route) => {
    const response = await route.fetch();
    await route.fulfill({ response, body: `${isSilent ? SILENT : ''}${await response.text()}` });
  });
  await page.goto(server.url);
  expect(await wrongWith(page, 'empty')).toEqual([]);
  await page.click('#setup summary');
  expect(await wrongWith(page, 'form')).toEqual([]);
  await page.setInputFiles('#s-file-file', setup());
  await page.setInputFiles('#part', part());
  await page.waitForFunction(() => document.querySelector<HTMLProgressElement>('#bar')!.value > 0);
  // As much as is seen before reach is known: the picture, and classes below it.
  await page.waitForSelector('#early .early-answers table');
  const running = await wrongWith(page, 'running');
  expect(await page.evaluate(() => document.documentElement.dataset.done)).toBeUndefined();
  expect(running).toEqual([]);
  await page.click('#stop');
  await surveyed(page);
  isSilent = false;
  await page.click('#again');
  await page.waitForFunction(() => document.documentElement.dataset.done === undefined);
  await surveyed(page);
  await viewReady(page);
  expect(await wrongWith(page, 'result')).toEqual([]);
  const [download] = await Promise.all([
    page.waitForEvent('download'),
    page.click('#saves a[download="report.html"]'),
  ]);
  await download.saveAs(report());
  await page.click('#keep');
  await page.fill('#s-scallopMm', '0.01');
  await page.click('#again');
  await page.waitForFunction(() => document.documentElement.dataset.done === undefined);
  await surveyed(page);
  await page.waitForSelector('#compared');
  expect(await wrongWith(page, 'kept result')).toEqual([]);
  expect(errors).toEqual([]);
  await page.context().close();
});

// As the page offers it, which is what the command line writes: page.test.ts.
test('nor has the report', async () => {
  const page = await newPage(browser);
  await page.goto(`file://${report()}`);
  await viewReady(page);
  expect(await wrongWith(page, 'report')).toEqual([]);
  await page.context().close();
});
