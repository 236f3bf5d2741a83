import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { resolveSetup } from '../../src/resolve-setup.js';
import { checkPart } from '../../src/survey/check-part.js';
import * as damage from '../support/damage.js';
import * as shapes from '../support/shapes.js';
import { binaryStl } from '../support/stl.js';
import { axeFindings, canvasPixels, launchBrowser, readValue } from './browser.js';
import { changedBox, drawn, keepPicture, openReport, press } from './pocket.js';

/** A block whose top faces down, and a box through its side. */
const block = shapes.box(40, 30, 20);
const top = Array.from({ length: block.length / 9 }, (_, f) => f).filter((f) =>
  damage.facetAt(block, f).every(([, , z]) => z === 20),
);
const broken = shapes.joined(
  damage.reversed(block, top),
  shapes.moved(shapes.turned(shapes.box(6, 6, 6), 20), [38, 10, 8]),
);
let folder = '',
  browser: Browser,
  page: Page,
  errors: readonly string[];

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'scarp-check-'));
  const { report } = await checkPart(
    binaryStl(broken),
    'block.stl',
    resolveSetup(undefined),
    {},
    { report: true },
  );
  const path = join(folder, 'check.html');
  writeFileSync(path, report ?? '');
  browser = await launchBrowser();
  ({ page, errors } = await openReport(browser, path));
});
afterAll(async () => {
  await browser?.close();
  rmSync(folder, { recursive: true });
});

test('the view names what it colours, and has no controls of cutters', async () => {
  const legend = await page.locator('#v-legend li').allInnerTexts();
  expect(legend.map((text) => text.trim())).toEqual([
    'sound',
    'facets turned',
    'facets through each other',
    'shells through each other',
  ]);
  expect((await canvasPixels(page)).painted).toBeGreaterThan(1000);
  for (const id of ['v-cutter', 'v-split', 'v-reset', 'v-show-cutter'])
    expect(await page.locator(`#${id}`).isVisible()).toBe(false);
});

test('a place of the list is shown and marked, and the point there tells its defect', async () => {
  const rows = page.locator('tr', { hasText: 'facets through each other' });
  await keepPicture(page);
  await rows.first().locator('button').click();
  await drawn(page);
  expect((await changedBox(page)).pixels).toBeGreaterThan(50);
  expect(await rows.first().getAttribute('aria-current')).toBe('true');
  await press(page, '2');
  await press(page, 'f');
  await press(page, 'Enter');
  expect(await readValue(page, 'defect')).toBe('facets turned');
  expect(await readValue(page, 'angle')).toBe('0°');
});

test('the other colouring is that of the survey', async () => {
  await page.selectOption('#v-mode', 'angle');
  const legend = await page.locator('#v-legend li').allInnerTexts();
  expect(legend.length).toBe(9);
  expect(legend[0].trim()).toBe('up to 10°');
});

test('no finding of the accessibility checker, none on the console', async () => {
  expect(await axeFindings(page)).toEqual([]);
  expect(errors).toEqual([]);
});
