import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { placeTable } from '../../src/write/place-tables.js';
import { numbers, words } from '../../src/write/report-numbers.js';
import { REPORT_STYLE } from '../../src/write/report-style.js';
import { launchBrowser, newPage } from './browser.js';

let browser: Browser, page: Page;

beforeAll(async () => {
  browser = await launchBrowser();
  page = await newPage(browser);
});
afterAll(() => browser.close());

/** A table of places of those areas, mm², as it is on the screen and on paper. */
async function shownOf(areas: readonly number[]) {
  const places = areas.map((areaMm2, id) => ({ id, areaMm2 }));
  const table = placeTable('Places', places, [
    words('place', ({ id }) => `T${id}`),
    numbers('area', ({ areaMm2 }) => `${areaMm2}`),
  ]);
  await page.setContent(`<style>${REPORT_STYLE}</style><main>${table}</main>`);
  const seen = () =>
    page.evaluate(() => {
      const isSeen = (element: Element) => element.checkVisibility() && element.getClientRects().length > 0;
      return {
        rows: [...document.querySelectorAll('tbody tr')]
          .filter(isSeen)
          .map((row) => row.children[0].textContent),
        words: [...document.querySelectorAll('p, summary')].filter(isSeen).map((one) => one.textContent),
      };
    });
  const screen = await seen();
  await page.emulateMedia({ media: 'print' });
  const paper = await seen();
  await page.emulateMedia({ media: 'screen' });
  return { screen, paper };
}

test('small places are folded and counted, on the screen and on paper', async () => {
  // 9 of 0.5 mm² and more, 164 smaller: 164 · 0.25 = 41 mm².
  const areas = [...Array.from({ length: 164 }, () => 0.25), 0.5, 1, 2, 3, 4, 5, 6, 7, 88];
  const { screen, paper } = await shownOf(areas);
  expect(screen.rows).toEqual(['T172', 'T171', 'T170', 'T169', 'T168', 'T167', 'T166', 'T165', 'T164']);
  expect(screen.words).toEqual(['164 smaller, the largest 0.3 mm², 41 mm² together']);
  expect(paper.rows).toEqual(screen.rows.slice(0, 6));
  expect(paper.words).toEqual(['The 6 largest of 173.']);
  await page.locator('summary').click();
  expect(await page.locator('details tbody tr').count()).toBe(164);
  expect(await page.locator('details tbody tr').first().isVisible()).toBe(true);
});

test('where all are small the largest stand open; few are not folded', async () => {
  const { screen, paper } = await shownOf([0.1, 0.2, 0.3, 0.4, 0.05, 0.02, 0.01]);
  expect(screen.rows).toEqual(['T3', 'T2', 'T1', 'T0', 'T4']);
  expect(screen.words).toEqual(['2 smaller, the largest under 0.1 mm², under 0.1 mm² together']);
  expect(paper.rows).toEqual(screen.rows);
  expect(paper.words).toEqual(['The 5 largest of 7.']);
  expect((await shownOf([0.1, 0.2])).screen).toEqual({ rows: ['T1', 'T0'], words: [] });
});

test('what is beyond a table of any use is counted', async () => {
  const { screen, paper } = await shownOf(Array.from({ length: 230 }, (_, i) => 1000 - i));
  expect(screen.rows.length).toBe(20);
  expect(screen.words).toEqual(['210 smaller, the largest 980 mm², 183\u202F855 mm² together']);
  await page.locator('summary').click();
  expect(await page.locator('details tbody tr').count()).toBe(200);
  expect(await page.locator('details .hint').textContent()).toMatch(/^10 more: /);
  expect(paper.rows.length).toBe(6);
  expect(paper.words).toContain('The 6 largest of 230.');
});
