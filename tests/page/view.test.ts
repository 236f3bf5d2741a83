import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, expect, test } from 'vitest';
import { linearRgb } from '../../src/write/class-colours.js';
import { launchBrowser, mmPerPixel, readValue } from './browser.js';
import {
  asOpened,
  changedBox,
  clickAt,
  drawn,
  keepPicture,
  openReport,
  POCKET,
  pocketReport,
  press,
  settings,
  TOLERANCE,
} from './pocket.js';

const { side, top, floorZ, floorRadius, fillet, wallRadius } = POCKET;
const RAD = Math.PI / 180;
let folder = '',
  browser: Browser,
  page: Page,
  errors: readonly string[],
  opened: readonly string[];
const report = (): string => join(folder, 'report.html');

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'scarp-view-'));
  await pocketReport(report());
  browser = await launchBrowser();
  ({ page, errors } = await openReport(browser, report()));
  opened = await settings(page, null);
});
afterEach(async () => {
  await asOpened(page, opened);
  expect(errors).toEqual([]);
});
afterAll(async () => {
  await browser?.close();
  rmSync(folder, { recursive: true });
});

const numbers = (text: string): number[] => (text.match(/-?\d+(\.\d+)?/g) ?? []).map(Number);
const point = async (key: string): Promise<number[]> => numbers(await readValue(page, key));
const showLines = async (...off: string[]): Promise<void> => {
  for (const what of off) await page.click(`#v-${what}`);
  await drawn(page);
};

test('two points measured: the straight distance, and its parts along the axes', async () => {
  await press(page, '2');
  await clickAt(page, 6, 4);
  const from = await point('point');
  await press(page, 'm');
  expect(await page.locator('#v-measure').getAttribute('aria-pressed')).toBe('true');
  await clickAt(page, 6, 4);
  await clickAt(page, -25, -8);
  const [d, dx, dy, dz] = numbers((await page.locator('#v-readout').allInnerTexts()).join(' '));
  // From the floor to the face above it, seen from straight above: along Z the depth of the pocket.
  expect(dz).toBe(top - floorZ);
  const pixel = await mmPerPixel(page);
  expect(Math.abs(dx - 31)).toBeLessThan(2 * pixel);
  expect(Math.abs(dy - 12)).toBeLessThan(2 * pixel);
  expect(d).toBeCloseTo(Math.sqrt(dx * dx + dy * dy + dz * dz), 2);
  expect(from[2]).toBe(floorZ);
  await press(page, 'Escape');
  expect(await page.locator('#v-measure').getAttribute('aria-pressed')).toBe('false');
});

test('a section opens the pocket: behind it the far wall, on its other half the front face', async () => {
  await press(page, '3');
  // Half way between fillet and top, in the middle.
  const up = (floorZ + fillet + top) / 2 - top / 2;
  await clickAt(page, 0, up);
  expect((await point('point'))[1]).toBe(-side / 2);
  await press(page, 'x');
  expect(await page.locator('#v-section').isChecked()).toBe(true);
  await clickAt(page, 0, up);
  // On the circle, or inside it by at most what a chord of 1/96 turn falls short: R (1 - cos(π/96)).
  const far = (await point('point'))[1];
  expect(far).toBeLessThanOrEqual(wallRadius + 1e-3);
  expect(far).toBeGreaterThan(wallRadius * Math.cos(Math.PI / 96) - 1e-3);
  await page.fill('#v-section-at-number', '22,5');
  await page.press('#v-section-at-number', 'Tab');
  await clickAt(page, 0, up);
  expect(await page.locator('#v-status').textContent()).toBe('No surface there.');
  expect(await page.locator('#v-readout').textContent()).toBe('No surface there.');
  await page.click('#v-section-flip');
  await clickAt(page, 0, up);
  expect((await point('point'))[1]).toBe(-side / 2);
});

test('a section is closed: edges behind it do not show through', async () => {
  await showLines('axes');
  await press(page, '3');
  await press(page, 'p');
  // The plane of the section goes through the middle, where the scale is that of the parallel view. In perspective the
  // far lower edge lies higher than the near one: between 1 and 8 mm over the bottom, if it showed.
  const darkest = (): Promise<number> =>
    page.evaluate(
      ({ half, scale }) => {
        const canvas = document.querySelector<HTMLCanvasElement>('#v-canvas')!,
          copy = document.createElement('canvas');
        const ratio = canvas.width / canvas.clientWidth / scale;
        Object.assign(copy, { width: canvas.width, height: canvas.height });
        const context = copy.getContext('2d')!;
        context.drawImage(canvas, 0, 0);
        const { data } = context.getImageData(
          canvas.width / 2 - 20 * ratio,
          canvas.height / 2 + (half - 8) * ratio,
          40 * ratio,
          7 * ratio,
        );
        let least = 255;
        for (let i = 0; i < data.length; i += 4)
          least = Math.min(least, Math.max(...data.subarray(i, i + 3)));
        return least;
      },
      { half: top / 2, scale },
    );
  const scale = await mmPerPixel(page);
  await press(page, 'x');
  // Hatched in greys of 112 and 153; lines are all but black.
  expect(await darkest()).toBeGreaterThan(100);
});

test('the cutter stands on a plane, and on floor and wall beside a fillet too small for it', async () => {
  await press(page, '2');
  await page.check('#v-show-cutter');
  await page.selectOption('#v-cutter', 'ball-8');
  await clickAt(page, 5, -3);
  // On a plane the tip is the point itself.
  expect(await point('tip')).toEqual(await point('point'));
  expect(await point('contact')).toEqual(await point('point'));
  expect(await readValue(page, 'gap')).toBe('0 mm');
  // Beside floor and wall a ball of radius 4 has its centre 4 over the one and 4 off the other, wherever it
  // was sent.
  await clickAt(page, floorRadius + fillet * Math.SQRT1_2, 0.1);
  const [x, y, z] = await point('tip');
  expect(Math.abs(Math.sqrt(x * x + y * y) - (wallRadius - 4))).toBeLessThan(TOLERANCE);
  expect(Math.abs(z - floorZ)).toBeLessThan(TOLERANCE);
  const phi = Number.parseFloat(await readValue(page, 'angle')) * RAD;
  const gap = Math.sqrt((1 + fillet * Math.sin(phi)) ** 2 + (1 + fillet * Math.cos(phi)) ** 2) - 4;
  expect(Math.abs(Number.parseFloat(await readValue(page, 'gap')) - gap)).toBeLessThan(TOLERANCE);
  // A ball of radius 2 fits the fillet: its centre is 2 along the normal from the point.
  await page.selectOption('#v-cutter', 'ball-4');
  const at = await point('point'),
    tip = await point('tip');
  const turn = Math.atan2(at[1], at[0]);
  const centre = [
    at[0] - 2 * Math.sin(phi) * Math.cos(turn),
    at[1] - 2 * Math.sin(phi) * Math.sin(turn),
    at[2] + 2 * Math.cos(phi) - 2,
  ];
  centre.forEach((value, k) => expect(Math.abs(tip[k] - value)).toBeLessThan(0.01));
});

test('the cutter is drawn where it stands and as wide as it is', async () => {
  await press(page, '2');
  await page.selectOption('#v-cutter', 'ball-8');
  await clickAt(page, 4, 6);
  const [x, , z] = await point('point');
  await page.click('#v-section');
  await press(page, '3');
  await keepPicture(page);
  await page.check('#v-show-cutter');
  await drawn(page);
  const box = await changedBox(page),
    pixel = await mmPerPixel(page);
  expect(Math.abs(box.left - (x - 4))).toBeLessThan(2 * pixel);
  expect(Math.abs(box.right - (x + 4))).toBeLessThan(2 * pixel);
  expect(Math.abs(box.low - (z - top / 2))).toBeLessThan(2 * pixel);
});

test('gaps are painted: the band of the closed form on the fillet, reached on the floor', async () => {
  await showLines('edges', 'borders', 'axes');
  await press(page, '2');
  await page.selectOption('#v-cutter', 'ball-8');
  await page.selectOption('#v-mode', 'gap');
  await page.waitForFunction(() => document.querySelector('#v-status')!.textContent!.includes('ball-8'));
  await drawn(page);
  // The reading's wall angle, and from it the gap: see the test above.
  await clickAt(page, floorRadius + fillet * Math.SQRT1_2, 0.1);
  const phi = Number.parseFloat(await readValue(page, 'angle')) * RAD;
  const gap = Math.sqrt((1 + fillet * Math.sin(phi)) ** 2 + (1 + fillet * Math.cos(phi)) ** 2) - 4;
  const limits = [1, 2.5, 5, 12.5, 25, 50].map((factor) => factor * TOLERANCE);
  const band = limits.filter((limit) => gap > limit).length;
  const rows = await page.locator('#v-legend li').allInnerTexts();
  expect(rows[band]).toContain(`${limits[band - 1]} to ${limits[band]} mm`);
  const fills = await page
    .locator('#v-legend rect')
    .evaluateAll((all) => all.map((rect) => rect.getAttribute('fill')!));
  // Two thirds of the light come from everywhere, the rest from the eye: Lambert's cosine law.
  const lit = (hex: string, cosine: number): number[] =>
    linearRgb(hex)
      .map((x) => x * (0.66 + 0.34 * cosine))
      .map((x) => 255 * (x <= 0.0031308 ? 12.92 * x : 1.055 * x ** (1 / 2.4) - 0.055));
  await page.keyboard.press('Escape');
  await drawn(page);
  const off = async (right: number, hex: string, cosine: number): Promise<number> => {
    const scale = await mmPerPixel(page);
    const seen = await page.evaluate((px) => {
      const canvas = document.querySelector<HTMLCanvasElement>('#v-canvas')!,
        copy = document.createElement('canvas');
      const ratio = canvas.width / canvas.clientWidth;
      copy.width = copy.height = 1;
      const context = copy.getContext('2d')!;
      context.drawImage(canvas, canvas.width / 2 + px * ratio, canvas.height / 2, 1, 1, 0, 0, 1, 1);
      return [...context.getImageData(0, 0, 1, 1).data];
    }, right / scale);
    return Math.max(...lit(hex, cosine).map((value, k) => Math.abs(value - seen[k])));
  };
  expect(await off(floorRadius + fillet * Math.SQRT1_2, fills[band], Math.cos(phi))).toBeLessThan(12);
  expect(await off(2, fills[0], 1)).toBeLessThan(3);
});

test('region list and view lead to each other', async () => {
  await press(page, '2');
  const wide = await mmPerPixel(page);
  await clickAt(page, 3, 2);
  const region = numbers(await readValue(page, 'region'))[0];
  const row = page.locator(`#region-row-${region}`);
  expect(await row.getAttribute('aria-current')).toBe('true');
  await page.click('#v-readout dd[data-key=region] button');
  expect(await row.isVisible()).toBe(true);
  expect(await page.evaluate(() => document.activeElement?.closest('tr')?.id)).toBe(`region-row-${region}`);
  await page.keyboard.press('Enter');
  expect(await page.evaluate(() => document.activeElement?.id)).toBe('v-canvas');
  expect(await page.locator('#v-status').textContent()).toBe(`Region ${region} shown`);
  await drawn(page);
  // The floor, 34 across, now fills the view that 60 filled.
  expect((await mmPerPixel(page)) / wide).toBeCloseTo((2 * floorRadius) / side, 2);
  const place = page.locator('tbody button[data-place^=T]').first();
  await place.click();
  expect(await page.locator('#v-status').textContent()).toMatch(/^Place T\d+ shown$/);
});

test('a place picked from a table is turned to and shaded, and shows through what hides it', async () => {
  await showLines('edges', 'borders', 'axes');
  const pick = page.locator('tbody button[data-place^=T]').first();
  for (const [key, hides] of [
    ['2', false],
    ['7', true],
  ] as const) {
    await press(page, 'Escape');
    await press(page, key);
    await drawn(page);
    await keepPicture(page);
    const whole = await mmPerPixel(page);
    await pick.click();
    await drawn(page);
    expect(await mmPerPixel(page)).toBeLessThan(whole);
    await press(page, key);
    await drawn(page);
    // The fillet round the floor, from above and through the underside; the mark on it is but a few pixels wide.
    const { left, right } = await changedBox(page);
    expect(right - left, `hidden: ${hides}`).toBeGreaterThan(1.8 * floorRadius);
    expect(right - left, `hidden: ${hides}`).toBeLessThan(2.2 * wallRadius);
  }
});

test('perspective shows what is nearer larger, parallel does not', async () => {
  await showLines('edges', 'borders', 'axes');
  await press(page, '3');
  for (let i = 0; i < 3; i++) await press(page, '-');
  const flat = await changedBox(page, false);
  expect(flat.right - flat.left).toBeCloseTo(side, 0);
  await press(page, 'p');
  expect(await page.locator('#v-perspective').getAttribute('aria-pressed')).toBe('true');
  const deep = await changedBox(page, false);
  // Similar triangles: the front face is half a side nearer than the middle, which keeps its scale.
  const height =
    (await mmPerPixel(page)) * (await page.locator('#v-canvas').evaluate((canvas) => canvas.clientHeight));
  const distance = height / (2 * Math.tan(14 * RAD));
  expect((deep.right - deep.left) / ((side * distance) / (distance - side / 2))).toBeCloseTo(1, 2);
  await press(page, 'p');
  const again = await changedBox(page, false);
  expect(again).toEqual(flat);
  // Fitted in perspective, the near corner too lies inside, and close to the edge.
  await press(page, 'p');
  await press(page, '1');
  const fitted = await changedBox(page, false),
    pixel = await mmPerPixel(page);
  const view = await page
    .locator('#v-canvas')
    .evaluate((canvas) => [canvas.clientWidth, canvas.clientHeight]);
  const filled = Math.max((2 * fitted.right) / view[0], (-2 * fitted.low) / view[1]) / pixel;
  expect(filled).toBeLessThan(0.97);
  expect(filled).toBeGreaterThan(0.7);
});

test('standard views and fit by keyboard', async () => {
  await showLines('edges', 'borders', 'axes');
  const sizes = {
    2: [side, side],
    3: [side, top],
    4: [side, top],
    5: [side, top],
    6: [side, top],
    7: [side, side],
  };
  for (const [key, [width, height]] of Object.entries(sizes)) {
    await press(page, key);
    const box = await changedBox(page, false),
      pixel = await mmPerPixel(page);
    expect(Math.abs(box.right - box.left - width), key).toBeLessThan(3 * pixel);
    expect(Math.abs(box.high - box.low - height), key).toBeLessThan(3 * pixel);
  }
  const fitted = await mmPerPixel(page);
  await press(page, '+');
  expect((await mmPerPixel(page)) / fitted).toBeCloseTo(1 / 1.25, 5);
  await press(page, 'Shift+ArrowLeft');
  await press(page, 'f');
  expect(await mmPerPixel(page)).toBeCloseTo(fitted, 9);
  const box = await changedBox(page, false);
  expect(Math.abs(box.left + box.right)).toBeLessThan(3 * fitted);
});

test('the graphics context lost: said, tables and drawing untouched; restored: the same picture', async () => {
  await press(page, '1');
  const before = await changedBox(page, false);
  await page.evaluate(() => {
    const canvas = document.querySelector<HTMLCanvasElement>('#v-canvas')!;
    Object.assign(globalThis, { loss: canvas.getContext('webgl2')!.getExtension('WEBGL_lose_context') });
    (globalThis as unknown as { loss: WEBGL_lose_context }).loss.loseContext();
  });
  await page.waitForFunction(() => !document.querySelector<HTMLElement>('#v-note')!.hidden);
  expect(await page.locator('#v-note').textContent()).toContain('tables and drawing are not touched');
  await page.click('summary:has-text("Regions")');
  expect(await page.locator('#region-row-0').isVisible()).toBe(true);
  expect(await page.locator('.drawing svg').isVisible()).toBe(true);
  await page.evaluate(() => (globalThis as unknown as { loss: WEBGL_lose_context }).loss.restoreContext());
  await page.waitForFunction(() => document.querySelector<HTMLElement>('#v-note')!.hidden);
  await drawn(page);
  expect(await changedBox(page, false)).toEqual(before);
});

test('fingers: a tap reads, one turns, two zoom', async () => {
  const { page: phone, errors: wrong } = await openReport(browser, report(), {
    hasTouch: true,
    isMobile: true,
    viewport: { width: 375, height: 700 },
  });
  await press(phone, '2');
  await phone.locator('#v-canvas').scrollIntoViewIfNeeded();
  const box = (await phone.locator('#v-canvas').boundingBox())!;
  const x = box.x + box.width / 2,
    y = box.y + box.height / 2;
  await phone.touchscreen.tap(x, y);
  expect(numbers(await readValue(phone, 'point')).slice(0, 3)).toEqual([0, 0, floorZ]);
  const session = await phone.context().newCDPSession(phone);
  const touch = (type: 'touchStart' | 'touchMove' | 'touchEnd', ...points: [number, number][]) =>
    session.send('Input.dispatchTouchEvent', {
      type,
      touchPoints: points.map(([px, py], id) => ({ x: px, y: py, id })),
    });
  const scale = await mmPerPixel(phone);
  await touch('touchStart', [x - 30, y], [x + 30, y]);
  for (const apart of [36, 42, 48, 54, 60]) await touch('touchMove', [x - apart, y], [x + apart, y]);
  await touch('touchEnd');
  await drawn(phone);
  // Twice as far apart: twice as large; a pixel added against division by zero makes it a little less.
  expect(scale / (await mmPerPixel(phone))).toBeCloseTo(2, 1);
  await press(phone, 'f');
  for (const what of ['edges', 'borders', 'axes'])
    await phone.locator(`#v-${what}`).evaluate((button) => (button as HTMLElement).click());
  await touch('touchStart', [x, y + 50]);
  for (const by of [25, 0, -25, -50]) await touch('touchMove', [x, y + by]);
  await touch('touchEnd');
  await drawn(phone);
  // 100 pixels up at 0.4 degrees each: from straight above down to 50 degrees. Orthogonal projection of the
  // block.
  const seen = await changedBox(phone, false),
    tall = side * Math.sin(50 * RAD) + top * Math.cos(50 * RAD);
  expect((seen.high - seen.low) / tall).toBeCloseTo(1, 1.7);
  await phone.context().close();
  expect(wrong).toEqual([]);
});

test('a report whose picture was damaged on its way says so, and keeps its tables', async () => {
  const damaged = join(folder, 'damaged.html'),
    whole = readFileSync(report(), 'utf8');
  const at = whole.indexOf('id="packed-view">') + 'id="packed-view">'.length;
  writeFileSync(damaged, `${whole.slice(0, at + 400)}AAAA${whole.slice(at + 404)}`);
  const { page: other, errors: wrong } = await openReport(browser, damaged);
  expect(await other.evaluate(() => document.documentElement.dataset.view)).toBe('none');
  expect(await other.locator('#v-note').textContent()).toMatch(/^The part cannot be shown here \(.+\)/);
  expect(await other.locator('table').count()).toBeGreaterThan(3);
  expect(wrong).toEqual([]);
  await other.context().close();
});

test('the legend hides a class: the part is open there, and is not read there', async () => {
  await press(page, '3');
  const shown = 'li[data-cls=outside] button';
  await keepPicture(page);
  await page.click(`#v-legend ${shown}`);
  await drawn(page);
  expect(await page.getAttribute(`#v-legend ${shown}`, 'aria-pressed')).toBe('false');
  // The front face, as wide and as high as the block.
  const box = await changedBox(page),
    pixel = await mmPerPixel(page);
  expect(Math.abs(box.right - box.left - side)).toBeLessThan(3 * pixel);
  expect(Math.abs(box.high - box.low - top)).toBeLessThan(3 * pixel);
  await clickAt(page, 0, (floorZ + fillet + top) / 2 - top / 2);
  // Behind it the pocket's wall is seen from inside the part: nothing to be read.
  expect(await page.locator('#v-readout dd[data-key=class]').count()).toBe(0);
  await page.click(`#v-legend ${shown}`);
  await drawn(page);
  expect((await changedBox(page)).pixels).toBe(0);
});

test('a value that is no number is marked and told, and one that is takes it away', async () => {
  await page.fill('#v-split-number', 'steep');
  await page.press('#v-split-number', 'Tab');
  expect(await page.locator('#v-split-bad').textContent()).toBe('"steep" is no number: 0 to 90');
  expect(await page.getAttribute('#v-split-number', 'aria-invalid')).toBe('true');
  await page.fill('#v-split-number', '30');
  await page.press('#v-split-number', 'Tab');
  expect(await page.locator('#v-split-bad').isVisible()).toBe(false);
  expect(await page.getAttribute('#v-split-number', 'aria-invalid')).toBeNull();
});

test('the picture is saved as it is shown, on white', async () => {
  const [download] = await Promise.all([page.waitForEvent('download'), page.click('#v-save')]);
  expect(download.suggestedFilename()).toBe('part by class.png');
  const bytes = readFileSync(await download.path());
  // The PNG standard (ISO 15948): width and height in the first chunk, big-endian.
  const size = await page.locator('#v-canvas').evaluate((canvas) => {
    const { width, height } = canvas as HTMLCanvasElement;
    return [width, height];
  });
  expect([bytes.readUInt32BE(16), bytes.readUInt32BE(20)]).toEqual(size);
});

test('the contents lead to every section, and answers and view stand side by side where there is room', async () => {
  const links = await page
    .locator('.contents a')
    .evaluateAll((all) =>
      all.map((link) => document.querySelector(link.getAttribute('href')!)?.querySelector('h2')?.textContent),
    );
  expect(links.map((text) => text?.replace(/^\d+/, ''))).toEqual(
    (await page.locator('.contents a').allInnerTexts()).map((text) => text.replace(/^\d+ /, '')),
  );
  expect(links.length).toBeGreaterThan(5);
  await page.setViewportSize({ width: 1440, height: 900 });
  const [answers, view] = [
    await page.locator('#s-1').boundingBox(),
    await page.locator('#s-2').boundingBox(),
  ];
  expect(answers!.y).toBeCloseTo(view!.y, 0);
  expect(view!.x).toBeGreaterThan(answers!.x + answers!.width);
  await page.setViewportSize({ width: 1100, height: 800 });
});

// An orthographic view along an axis shows the two others in their length, at a right angle.
test('the axes stand in a corner, each with its name at its end, as the view is turned', async () => {
  const axes = (): Promise<{ end: number[]; name: number[] | null }[]> =>
    page.locator('#v-compass g').evaluateAll((arms) =>
      arms.map(({ children: [line, name] }) => ({
        end: ['x2', 'y2'].map((key) => Math.round(Number(line.getAttribute(key)))),
        name: name.hasAttribute('hidden')
          ? null
          : ['x', 'y'].map((key) => Math.round(Number(name.getAttribute(key)))),
      })),
    );
  const right = { end: [24, 0], name: [33, 0] },
    left = { end: [-24, 0], name: [-33, 0] },
    up = { end: [0, -24], name: [0, -33] },
    away = { end: [0, 0], name: null };
  const clean = (arms: Awaited<ReturnType<typeof axes>>) =>
    arms.map(({ end, name }) => ({ end: end.map((x) => x + 0), name: name?.map((x) => x + 0) ?? null }));
  for (const [key, expected] of [
    ['2', [right, up, away]],
    ['3', [right, away, up]],
    ['5', [left, away, up]],
  ] as const) {
    await press(page, key);
    await drawn(page);
    expect(clean(await axes()), key).toEqual(expected);
  }
  // Its corner is free of the scale, and within the view.
  const [stage, compass, scale] = await Promise.all(
    ['#v-stage', '#v-compass', '#v-scale'].map(async (id) => (await page.locator(id).boundingBox())!),
  );
  expect(compass.x).toBeGreaterThan(scale.x + scale.width);
  expect(compass.x + compass.width).toBeLessThan(stage.x + stage.width);
  expect(compass.y + compass.height).toBeLessThan(stage.y + stage.height);
  await showLines('axes');
  expect(await page.locator('#v-compass').isVisible()).toBe(false);
});

test('on a phone the view stays in sight beside each of its tools, which it does not cover', async () => {
  const phone = (await openReport(browser, report(), { viewport: { width: 390, height: 844 } })).page;
  for (const id of ['v-mode', 'v-split', 'v-read', 'v-section', 'v-section-at', 'v-section-at-number']) {
    // As the browser moves to what is reached by the keyboard.
    await phone.locator(`#${id}`).evaluate((tool) => tool.scrollIntoView({ block: 'nearest' }));
    const seen = await phone.evaluate((tool) => {
      const at = document.getElementById(tool)!.getBoundingClientRect(),
        stage = document.getElementById('v-stage')!.getBoundingClientRect();
      const top = document.elementFromPoint(at.x + at.width / 2, at.y + at.height / 2);
      return { tool: top?.id, above: stage.top, below: stage.bottom, height: stage.height };
    }, id);
    expect(seen.tool, id).toBe(id);
    expect(seen.above, id).toBeGreaterThanOrEqual(0);
    expect(seen.below, id).toBeLessThan(844 - 100);
    expect(seen.height, id).toBeGreaterThan(300);
  }
  // Coming back from below, too.
  await phone.evaluate(() => scrollTo(0, document.body.scrollHeight));
  await phone.focus('#v-mode');
  const [tool, stage] = await Promise.all(
    ['#v-mode', '#v-stage'].map(async (id) => (await phone.locator(id).boundingBox())!),
  );
  expect(tool.y).toBeGreaterThanOrEqual(stage.y + stage.height);
  await phone.context().close();
});
