import { spawnSync, type ChildProcess } from 'node:child_process';
import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { request } from 'node:http';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import type { Plan } from '../../src/plan/plan.js';
import { shown } from '../../src/write/report-numbers.js';
import { box, boxPocket, moved, roundPocket } from '../support/shapes.js';
import { binaryStl } from '../support/stl.js';
import {
  axeFindings,
  BIN,
  canvasPixels,
  launchBrowser,
  mmPerPixel,
  newPage,
  type PageOptions,
  readValue,
  startPage,
  surveyed,
  FINISHED_BY_TWO,
  TWO_CUTTERS,
  viewReady,
  watch,
} from './browser.js';
import { SETUP_DEFAULTS } from '../../src/resolve-setup.js';
import { asOpened, drawn, settings } from './pocket.js';

const RAD = Math.PI / 180;
const FLOOR = 17,
  FILLET = 3,
  SIDE = 60,
  HEIGHT = 25,
  TOLERANCE = 0.02;
/** In the page these are typed into the form, decimal comma and all. */
const FLAGS = ['--tolerance', '0.02', '--radii', '2,4.5', '--min-region', '0.3'];

let folder = '',
  out = '',
  browser: Browser,
  server: { readonly url: string; readonly child: ChildProcess },
  plan: Plan;
const part = (): string => join(folder, 'pocket.stl'),
  /** the same with a quarter of the facets, which takes long enough to be stopped */
  coarse = (): string => join(folder, 'coarse', 'pocket.stl'),
  /** for tests that ask nothing of its shape */
  small = (): string => join(folder, 'small', 'pocket.stl'),
  setup = (): string => join(folder, 'setup.json'),
  /** without a block to clear, for tests that are about something else */
  quickSetup = (): string => join(folder, 'quick.json');

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'scarp-page-'));
  writeFileSync(part(), binaryStl(roundPocket({ segments: 96, filletFacets: 24 })));
  mkdirSync(join(folder, 'coarse'));
  writeFileSync(coarse(), binaryStl(roundPocket({ segments: 48, filletFacets: 12 })));
  mkdirSync(join(folder, 'small'));
  writeFileSync(small(), binaryStl(boxPocket({ width: 12, length: 10, depth: 4, land: 3 })));
  writeFileSync(setup(), TWO_CUTTERS);
  writeFileSync(quickSetup(), FINISHED_BY_TWO);
  out = join(folder, 'out');
  const made = spawnSync(
    process.execPath,
    [BIN, 'survey', part(), '--out', out, '--setup', setup(), ...FLAGS],
    { encoding: 'utf8' },
  );
  expect({ status: made.status, stderr: made.stderr }).toEqual({ status: 0, stderr: '' });
  plan = JSON.parse(readFileSync(join(out, 'plan.json'), 'utf8'));
  browser = await launchBrowser();
  server = await startPage();
});
afterAll(async () => {
  server?.child.kill('SIGTERM');
  await browser?.close();
  rmSync(folder, { recursive: true });
});

async function openReport(options: PageOptions = {}): Promise<Page> {
  const page = await newPage(browser, options);
  await page.goto(`file://${join(out, 'report.html')}`);
  await viewReady(page);
  return page;
}

/** One report for tests that only look at it, as it was opened. */
async function sameReport(): Promise<Page> {
  if (same === null) {
    const page = await openReport();
    same = { page, opened: await settings(page, null) };
  } else await asOpened(same.page, same.opened);
  return same.page;
}
let same: { readonly page: Page; readonly opened: readonly string[] } | null = null;

/** Keeps what links to files are made of: the browser takes but ten downloads from a page without asking. */
const keepBlobs = (): void => {
  const make = URL.createObjectURL.bind(URL),
    blobs: Record<string, Blob | MediaSource> = {};
  Object.assign(globalThis, { blobs });
  URL.createObjectURL = (blob) => {
    const url = make(blob);
    blobs[url] = blob;
    return url;
  };
};

/** The bytes of a file that the page offers. */
async function offered(page: Page, name: string): Promise<Buffer> {
  const url = await page.evaluate(async (name) => {
    const { href } = document.querySelector<HTMLAnchorElement>(`#saves a[download="${name}"]`)!;
    const { blobs } = globalThis as unknown as { readonly blobs: Record<string, Blob> };
    return new Promise<string>((done, failed) => {
      const reader = new FileReader();
      reader.onload = () => done(String(reader.result));
      reader.onerror = () => failed(reader.error);
      reader.readAsDataURL(blobs[href]);
    });
  }, name);
  return Buffer.from(url.slice(url.indexOf(',') + 1), 'base64');
}

test("a part by the file chooser: progress, the command line's figures, every file byte for byte", async () => {
  const page = await newPage(browser);
  await page.addInitScript(keepBlobs);
  const { errors, requests } = watch(page);
  await page.goto(server.url);
  expect(await page.evaluate(() => crossOriginIsolated)).toBe(true);
  await page.evaluate(() => {
    const seen: string[] = [];
    Object.assign(globalThis, { seen });
    new MutationObserver(() => seen.push(document.querySelector('#stage')!.textContent!)).observe(
      document.querySelector('#stage')!,
      { childList: true },
    );
  });
  await page.locator('summary', { hasText: 'Set-up' }).click();
  await page.setInputFiles('#s-file-file', setup());
  await page.fill('#s-toleranceMm', '0,02mm');
  await page.fill('#s-radiiMm', '2; 4,5');
  await page.fill('#s-minRegionMm2', '0,3');
  await page.setInputFiles('#part', part());
  await surveyed(page);
  expect(await page.locator('#error').textContent()).toBe('');
  const stages = await page.evaluate(() => (globalThis as unknown as { seen: string[] }).seen);
  expect(new Set(stages.map((text) => text.split(',')[0])).size).toBeGreaterThan(3);
  expect(await page.locator('.answers strong').first().textContent()).toBe(
    `${shown(plan.time.totalMinutes, 1)} min`,
  );
  const names = readdirSync(out)
    .filter((name) => !name.startsWith('.'))
    .sort();
  expect((await page.locator('#saves a').all()).length).toBe(names.length);
  for (const name of names)
    expect((await offered(page, name)).equals(readFileSync(join(out, name))), name).toBe(true);
  const [download] = await Promise.all([
    page.waitForEvent('download'),
    page.click('#saves a[download="plan.json"]'),
  ]);
  expect(readFileSync(await download.path()).equals(readFileSync(join(out, 'plan.json')))).toBe(true);
  expect(errors).toEqual([]);
  expect(requests.filter((url) => !url.startsWith(server.url))).toEqual([]);
  await page.context().close();
});

test('a broken part is told and the page lives on: a good one dropped, stopped, dropped again', async () => {
  const page = await newPage(browser);
  await page.goto(server.url);
  await page.setInputFiles('#s-file-file', quickSetup());
  const drop = (name: string, bytes: Uint8Array) =>
    page.evaluate(
      ({ name, text }) => {
        const transfer = new DataTransfer();
        transfer.items.add(new File([Uint8Array.from(atob(text), (c) => c.charCodeAt(0))], name));
        document.body.dispatchEvent(
          new DragEvent('drop', { bubbles: true, cancelable: true, dataTransfer: transfer }),
        );
      },
      { name, text: Buffer.from(bytes).toString('base64') },
    );
  const good = readFileSync(coarse());
  await drop('cut-short.stl', good.subarray(0, 5000));
  await surveyed(page);
  expect(await page.locator('#error strong').textContent()).toContain('cut-short.stl');
  await drop('pocket.stl', good);
  await page.waitForFunction(() => document.querySelector<HTMLProgressElement>('#bar')!.value > 0);
  await page.click('#stop');
  await surveyed(page);
  expect(await page.locator('#say').textContent()).toMatch(/^Stopped/);
  await drop('pocket.stl', readFileSync(small()));
  await surveyed(page);
  expect(await page.locator('#report h1').textContent()).toBe('pocket.stl');
  await page.click('#setup summary');
  await page.fill('#s-scallopMm', '3,4,5');
  await page.click('#again');
  await surveyed(page);
  expect(await page.locator('#error').textContent()).toContain('"3,4,5" found');
  await page.context().close();
});

test('the server answers its own names only', async () => {
  const status = (host: string, path = '/') =>
    new Promise<number>((resolve, reject) => {
      request(server.url, { path, headers: { host } }, (response) => resolve(response.statusCode ?? 0))
        .on('error', reject)
        .end();
    });
  const { host, port } = new URL(server.url);
  expect(await status(host)).toBe(200);
  expect(await status(`localhost:${port}`)).toBe(200);
  expect(await status('elsewhere.example')).toBe(421);
  expect(await status(host, '/../viewer-script.js')).toBe(404);
  expect(await status(host, '/%2e%2e/viewer-script.js')).toBe(404);
});

test('the report from file://: nothing loaded, nothing wrong, on light paper and on dark', async () => {
  const page = await newPage(browser);
  const { errors, requests } = watch(page);
  const url = `file://${join(out, 'report.html')}`;
  await page.goto(url);
  await viewReady(page);
  for (const colorScheme of ['light', 'dark'] as const) {
    await page.emulateMedia({ colorScheme });
    const paper = await page.evaluate(() => getComputedStyle(document.body).backgroundColor);
    expect(Number(/\d+/.exec(paper)?.[0]) > 128).toBe(colorScheme === 'light');
  }
  expect(errors).toEqual([]);
  expect(requests).toEqual([url]);
  await page.context().close();
});

// Areas of the shadows of a box, 60 x 60 x 25: orthogonal projection of each pair of sides (Euclid, and
// cosines).
test.each([
  ['top', SIDE * SIDE],
  ['front', SIDE * HEIGHT],
  ['right', SIDE * HEIGHT],
  [
    'corner',
    Math.cos(35 * RAD) * (Math.cos(60 * RAD) + Math.sin(60 * RAD)) * SIDE * HEIGHT +
      Math.sin(35 * RAD) * SIDE * SIDE,
  ],
])('from %s the bare part covers what its shadow measures', async (name, areaMm2) => {
  const page = await sameReport();
  for (const what of ['edges', 'borders', 'axes']) await page.click(`#v-${what}`);
  await page.click(`#v-from-${name}`);
  await drawn(page);
  const scale = await mmPerPixel(page);
  const { painted, colours, width } = await canvasPixels(page);
  expect((painted * (scale / width) ** 2) / areaMm2).toBeCloseTo(1, 1.7);
  expect(colours).toBeGreaterThanOrEqual(name === 'corner' ? 50 : 2);
});

test('pointing at the fillet reads its radius, by mouse and by keyboard', async () => {
  const page = await sameReport();
  const canvas = page.locator('#v-canvas');
  await canvas.focus();
  await page.keyboard.press('2');
  await drawn(page);
  const box = (await canvas.boundingBox())!,
    scale = await mmPerPixel(page);
  const radius = FLOOR + FILLET * Math.SQRT1_2;
  // Near the meridian of vertices: only there do the wall's facets stand on the true circle.
  const turn = 0.1 * RAD;
  await page.mouse.click(
    box.x + box.width / 2 + (radius * Math.cos(turn)) / scale,
    box.y + box.height / 2 - (radius * Math.sin(turn)) / scale,
  );
  const phi = Number.parseFloat(await readValue(page, 'angle')) * RAD;
  expect(phi / RAD).toBeGreaterThan(38);
  expect(phi / RAD).toBeLessThan(52);
  // A ball of radius 3 + e stands on floor and wall: its centre is e nearer the axis and e higher than the
  // fillet's.
  const gap = (e: number) =>
    Math.sqrt((e + FILLET * Math.sin(phi)) ** 2 + (e + FILLET * Math.cos(phi)) ** 2) - FILLET - e;
  let low = 0,
    high = 1;
  for (let i = 0; i < 60; i++)
    if (gap((low + high) / 2) < TOLERANCE) low = (low + high) / 2;
    else high = (low + high) / 2;
  const read = Number.parseFloat(await readValue(page, 'radius'));
  expect(Math.abs(read - (FILLET + low))).toBeLessThan(0.01 + 0.01 * FILLET);
  await page.keyboard.press('Enter');
  expect(Number.parseFloat(await readValue(page, 'angle'))).toBeCloseTo(0, 1);
  expect(await readValue(page, 'class')).toBe('level');
});

test('a moved split: areas from the table, closed forms, and back', async () => {
  const page = await sameReport();
  const area = async (cls: string) =>
    Number(await page.locator(`#v-legend li[data-cls=${cls}]`).getAttribute('data-area'));
  expect(await area('shallow')).toBeCloseTo(plan.classes.shallow.areaMm2, 6);
  await page.fill('#v-split-number', '30,5');
  await page.press('#v-split-number', 'Tab');
  // Pappus: a band of the fillet from wall angle a to b has area 2 pi r (R (b - a) + r (cos a - cos b)).
  const band = (a: number, b: number) =>
    2 * Math.PI * FILLET * (FLOOR * (b - a) * RAD + FILLET * (Math.cos(a * RAD) - Math.cos(b * RAD)));
  expect((await area('shallow')) / band(0.5, 30.5)).toBeCloseTo(1, 1.4);
  expect((await area('overlap')) / band(30.5, 33.5)).toBeCloseTo(1, 1.1);
  const sum = (await Promise.all(['level', 'shallow', 'overlap', 'steep'].map(area))).reduce((a, b) => a + b);
  const { level, shallow, overlap, steep } = plan.classes;
  expect(sum).toBeCloseTo(level.areaMm2 + shallow.areaMm2 + overlap.areaMm2 + steep.areaMm2, 4);
  await page.click('#v-reset');
  expect(await area('shallow')).toBeCloseTo(plan.classes.shallow.areaMm2, 6);
});

test("every colouring has a legend with numbers, and paints the part with the legend's colours", async () => {
  const page = await sameReport();
  for (const what of ['edges', 'borders', 'axes']) await page.click(`#v-${what}`);
  await page.click('#v-from-top');
  const seen = new Set<string>();
  for (const mode of ['class', 'angle', 'reach', 'gap', 'finisher', 'scallop', 'stickout']) {
    await page.selectOption('#v-mode', mode);
    await drawn(page);
    const rows = await page.locator('#v-legend li').allTextContents();
    expect(rows.filter((row) => /\d/.test(row)).length, mode).toBeGreaterThan(1);
    expect(
      rows.every((row) => row.trim() !== ''),
      mode,
    ).toBe(true);
    // Straight at the floor the light is full: a class or band is painted in the very colour of the legend.
    const middle = await page.evaluate(() => {
      const canvas = document.querySelector<HTMLCanvasElement>('#v-canvas')!,
        copy = document.createElement('canvas');
      copy.width = copy.height = 1;
      const context = copy.getContext('2d')!;
      context.drawImage(canvas, canvas.width / 2, canvas.height / 2, 1, 1, 0, 0, 1, 1);
      return [...context.getImageData(0, 0, 1, 1).data.subarray(0, 3)];
    });
    const fills = await page
      .locator('#v-legend rect')
      .evaluateAll((all) =>
        all.map((rect) =>
          rect.getAttribute('fill')!.startsWith('url(')
            ? document.querySelector(`${rect.getAttribute('fill')!.slice(4, -1)} rect`)!.getAttribute('fill')!
            : rect.getAttribute('fill')!,
        ),
      );
    const near = fills.filter((fill) =>
      [0, 1, 2].every(
        (k) => Math.abs(middle[k] - Number.parseInt(fill.slice(1 + 2 * k, 3 + 2 * k), 16)) <= 2,
      ),
    );
    expect(near.length, `${mode}: ${middle} of ${fills}`).toBeGreaterThan(0);
    seen.add(rows.join());
  }
  expect(seen.size).toBe(7);
});

test('three pages of A4, the last the plan, with the view on the first', async () => {
  const page = await openReport();
  const pdf = (await page.pdf({ preferCSSPageSize: true })).toString('latin1');
  expect(pdf.match(/\/Type\s*\/Page\b/g)).toHaveLength(3);
  expect(await page.locator('#v-print').getAttribute('src')).toMatch(/^data:image\/png/);
  await page.emulateMedia({ media: 'print', colorScheme: 'dark' });
  const colours = await page.evaluate(() => {
    const { color, backgroundColor } = getComputedStyle(document.body);
    return [color, backgroundColor];
  });
  expect(colours, 'paper is white for those, too, whose screen is dark').toEqual([
    'rgb(0, 0, 0)',
    'rgb(255, 255, 255)',
  ]);
  await page.context().close();
});

test('at 320 pixels nothing sticks out; without WebGL the tables and the drawing stay', async () => {
  const whole = await sameReport();
  await whole.setViewportSize({ width: 320, height: 640 });
  expect(await whole.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(320);
  await whole.context().close();
  const page = await newPage(browser);
  await page.addInitScript(() => {
    const whole = HTMLCanvasElement.prototype.getContext;
    Object.assign(HTMLCanvasElement.prototype, {
      getContext(this: HTMLCanvasElement, kind: string) {
        return kind.startsWith('webgl') ? null : whole.call(this, kind);
      },
    });
  });
  await page.goto(`file://${join(out, 'report.html')}`);
  await viewReady(page);
  expect(await page.locator('#v-note').textContent()).toContain('WebGL');
  expect(await page.locator('.drawing svg path').count()).toBeGreaterThan(0);
  expect(await page.locator('table').count()).toBeGreaterThan(3);
  await page.context().close();
});

test('settings are kept on this computer, files among them, until they are forgotten', async () => {
  const page = await newPage(browser);
  await page.goto(server.url);
  await page.click('#setup summary');
  await page.fill('#s-toleranceMm', '0,03');
  const machine = JSON.stringify({ ...SETUP_DEFAULTS.machine, name: 'mill' });
  await page.setInputFiles('#s-machine-file', {
    name: 'mill.json',
    mimeType: 'application/json',
    buffer: Buffer.from(machine),
  });
  await page.waitForFunction(() => {
    const kept = localStorage.getItem('scarp.set-up') ?? '';
    return kept.includes('mill.json') && kept.includes('0,03');
  });
  const { requests } = watch(page);
  await page.reload();
  expect(await page.inputValue('#s-toleranceMm')).toBe('0,03');
  expect(await page.textContent('#s-machine-file-kept')).toContain('mill.json');
  expect(requests.filter((address) => !address.startsWith(server.url))).toEqual([]);
  await page.click('#forget');
  await page.reload();
  expect(await page.inputValue('#s-toleranceMm')).toBe('');
  expect(await page.textContent('#s-machine-file-kept')).toBe('');
  await page.context().close();
});

test('a machine typed into fields and a mesh as block: the plan of the command line, byte for byte', async () => {
  const machine = { ...SETUP_DEFAULTS.machine, hourlyRate: 90, currency: 'EUR', maxFeedMmPerMin: 2500 };
  const block = join(folder, 'block.stl'),
    mill = join(folder, 'mill.json'),
    to = join(folder, 'in-block');
  writeFileSync(mill, JSON.stringify(machine));
  writeFileSync(block, binaryStl(moved(box(24, 22, 18), [-12, -11, -16])));
  const page = await newPage(browser);
  await page.addInitScript(keepBlobs);
  await page.goto(server.url);
  await page.click('#setup summary');
  await page.setInputFiles('#s-file-file', setup());
  await page.fill('#s-machine-hourlyRate', '90');
  await page.fill('#s-machine-currency', 'EUR');
  await page.fill('#s-machine-maxFeedMmPerMin', '2500');
  await page.setInputFiles('#s-block-file', block);
  await page.setInputFiles('#part', small());
  await surveyed(page);
  expect(await page.textContent('#error')).toBe('');
  const files = ['--setup', setup(), '--machine', mill, '--block', block];
  const { status, stderr } = spawnSync(process.execPath, [BIN, 'survey', small(), '--out', to, ...files]);
  expect({ status, stderr: String(stderr) }).toEqual({ status: 0, stderr: '' });
  const plan = await offered(page, 'plan.json');
  expect(plan.equals(readFileSync(join(to, 'plan.json')))).toBe(true);
  expect(JSON.parse(String(plan)).setup.block.name).toBe('block.stl');
  await page.context().close();
});

test('fields of a machine: an empty one shows what the file has, wrong ones are all marked as they are typed', async () => {
  const page = await newPage(browser);
  await page.goto(server.url);
  await page.click('#setup summary');
  expect(await page.getAttribute('#s-machine-maxRpm', 'placeholder')).toBe(
    String(SETUP_DEFAULTS.machine.maxRpm),
  );
  await page.setInputFiles('#s-machine-file', {
    name: 'mill.json',
    mimeType: 'application/json',
    buffer: Buffer.from(JSON.stringify({ ...SETUP_DEFAULTS.machine, maxRpm: 24_000, jerkMmPerS3: null })),
  });
  await page.waitForFunction(
    () => document.querySelector<HTMLInputElement>('#s-machine-maxRpm')!.placeholder === '24000',
  );
  expect(await page.getAttribute('#s-machine-jerkMmPerS3', 'placeholder')).toBe('unlimited');
  await page.fill('#s-machine-timeFactor', '0');
  await page.press('#s-machine-timeFactor', 'Tab');
  await page.waitForSelector('#s-machine-timeFactor[aria-invalid=true]');
  expect(await page.textContent('#s-machine-timeFactor-bad')).toContain('0 found, more than 0 expected');
  await page.fill('#s-machine-rapidMmPerMin', 'fast');
  await page.fill('#s-block', 'box:3');
  await page.press('#s-block', 'Tab');
  await page.waitForSelector('#s-block[aria-invalid=true]');
  expect(await page.textContent('#s-machine-rapidMmPerMin-bad')).toContain('"fast" found');
  expect(await page.textContent('#s-block-bad')).toContain('such as box:120;80;40 expected');
  expect(await axeFindings(page)).toEqual([]);
  await page.fill('#s-block', 'cylinder');
  await page.press('#s-block', 'Tab');
  await page.waitForSelector('#s-block:not([aria-invalid])');
  expect(await page.isVisible('#s-block-bad')).toBe(false);
  await page.context().close();
});

/** Whether two canvases show the same. */
const areAlike = (page: Page, one: string, other: string): Promise<boolean> =>
  page.evaluate(
    (names) => {
      const [a, b] = names.map((name) => document.querySelector<HTMLCanvasElement>(name)!);
      return a.width === b.width && a.height === b.height && a.toDataURL() === b.toDataURL();
    },
    [one, other],
  );

test('a kept result beside the next: differences told, both parts seen alike and turned together', async () => {
  const page = await newPage(browser, { viewport: { width: 1440, height: 900 } });
  const { errors } = watch(page);
  await page.goto(server.url);
  await page.click('#setup summary');
  await page.setInputFiles('#s-file-file', quickSetup());
  await page.setInputFiles('#part', small());
  await surveyed(page);
  const before = await page.textContent('.answers strong');
  await page.click('#keep');
  expect(await page.textContent('#kept-note')).toContain(before!);
  await page.fill('#s-machine-maxFeedMmPerMin', '300');
  await page.fill('#s-block', 'box:80; 70mm; 26');
  await page.click('#again');
  await page.waitForFunction(() => document.documentElement.dataset.done === undefined);
  await surveyed(page);
  const cells = await page.locator('#compared tbody tr').first().locator('th,td').allInnerTexts();
  expect(cells.slice(0, 3)).toEqual([
    'Finishing, all cutters',
    before,
    await page.textContent('#report .answers strong'),
  ]);
  expect(cells[3]).toMatch(/^\+[\d.]+ \(\+[\d.]+ %\)$/);
  const compared = await page.textContent('#compared');
  for (const told of ['Greatest feed, mm/min', '80; 70; 26']) expect(compared).toContain(told);
  // The pictures differ in their sizes by nothing and in the feed, which has no colour.
  for (const keys of [[], ['ArrowLeft', 'ArrowUp', '+'], ['x', 'p', '3']]) {
    for (const key of keys) await page.locator('#v-canvas').press(key);
    await drawn(page);
    // Both come to rest.
    await expect
      .poll(() => areAlike(page, '#v-canvas', '#kept-stage canvas'), {
        message: keys.join(),
        timeout: 10_000,
      })
      .toBe(true);
  }
  await page.setViewportSize({ width: 390, height: 844 });
  expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBe(390);
  await page.click('#keep');
  expect(await page.locator('#compared,#kept-stage').count()).toBe(0);
  expect(errors).toEqual([]);
  await page.context().close();
});

test('a field that cannot be read is marked and says what it takes', async () => {
  const page = await newPage(browser);
  await page.goto(server.url);
  await page.click('#setup summary');
  await page.fill('#s-scallopMm', 'fine');
  await page.setInputFiles('#part', part());
  await surveyed(page);
  expect(await page.textContent('#s-scallopMm-bad')).toContain('"fine" found');
  expect(await page.getAttribute('#s-scallopMm', 'aria-invalid')).toBe('true');
  expect(await page.textContent('#error')).toContain('"fine" found');
  expect(await axeFindings(page)).toEqual([]);
  await page.context().close();
});
