import { spawn, type ChildProcess } from 'node:child_process';
import { existsSync, readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { chromium, type Browser, type BrowserContextOptions, type Page } from 'playwright-core';
import type { SetupFile } from '../../src/resolve-setup.js';
import { FINISHING_ALONE } from '../support/pipeline.js';

// The built program; `npm test` builds it first.
export const BIN = new URL('../../dist/cli/main.js', import.meta.url).pathname;

/** A headless browser: the machine's own, or the one that comes from the package registry. */
export async function launchBrowser(): Promise<Browser> {
  const own = [process.env.CHROMIUM_PATH, '/usr/bin/chromium'].find(
    (path) => path !== undefined && existsSync(path),
  );
  if (own !== undefined) return chromium.launch({ executablePath: own });
  // Set before the import: only then are the libraries that a bare machine lacks unpacked with it.
  process.env.AWS_EXECUTION_ENV ??= 'AWS_Lambda_nodejs20.x';
  const { default: bundled } = await import('@sparticuz/chromium');
  return chromium.launch({ executablePath: await bundled.executablePath() });
}

export interface PageOptions extends BrowserContextOptions {
  /**
   * whether edges of the view are smoothed: without a graphics card that takes two thirds of the drawing, and only
   * pictures that are compared as a whole need it
   */
  readonly smooth?: boolean;
}

/** A page in a context of its own, 1100 by 800 unless asked. */
export async function newPage(
  browser: Browser,
  { smooth = false, ...options }: PageOptions = {},
): Promise<Page> {
  const context = await browser.newContext({ viewport: { width: 1100, height: 800 }, ...options });
  if (!smooth) {
    await context.addInitScript(() => {
      const whole = HTMLCanvasElement.prototype.getContext;
      Object.assign(HTMLCanvasElement.prototype, {
        getContext(this: HTMLCanvasElement, kind: string, asked?: object) {
          return whole.call(this, kind, kind.startsWith('webgl') ? { ...asked, antialias: false } : asked);
        },
      });
    });
  }
  return context.newPage();
}

/** Starts `scarp page`; its address is its first line. */
export async function startPage(): Promise<{ readonly url: string; readonly child: ChildProcess }> {
  const child = spawn(process.execPath, [BIN, 'page']);
  const url = await new Promise<string>((resolve, reject) => {
    child.stdout.once('data', (data) => resolve(String(data).trim()));
    child.once('exit', (code) => reject(new Error(`scarp page ended with ${code}`)));
  });
  return { url, child };
}

/** Errors on a page's console and requests it makes, as they come. */
export function watch(page: Page): { readonly errors: string[]; readonly requests: string[] } {
  const errors: string[] = [],
    requests: string[] = [];
  page.on('console', (message) => {
    if (message.type() === 'error') errors.push(message.text());
  });
  page.on('pageerror', (error) => errors.push(error.message));
  page.on('request', (request) => {
    if (!/^(data|blob):/.test(request.url())) requests.push(request.url());
  });
  return { errors, requests };
}

export const surveyed = (page: Page) =>
  page.waitForFunction(() => document.documentElement.dataset.done === 'yes', undefined, {
    timeout: 110_000,
  });
export const viewReady = (page: Page) =>
  page.waitForFunction(() => document.documentElement.dataset.view !== undefined, undefined, {
    timeout: 60_000,
  });

/**
 * What the accessibility checker finds against WCAG 2.2 A and AA and its own best practices.
 *
 * @param inColours only what has to do with colours
 */
export async function axeFindings(page: Page, inColours = false): Promise<string[]> {
  const source = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
  await page.evaluate(source);
  return page.evaluate(async (only) => {
    const axe = (
      globalThis as unknown as {
        axe: { run(options: object): Promise<{ violations: { id: string; nodes: { html: string }[] }[] }> };
      }
    ).axe;
    const { violations } = await axe.run(only ? { runOnly: ['cat.color'] } : {});
    return violations.map(
      ({ id, nodes }) => `${id}: ${nodes.map(({ html }) => html.slice(0, 160)).join(' | ')}`,
    );
  }, inColours);
}

/**
 * Share of the view's canvas that is painted, and pixels nearest to each of some colours (sRGB, lit or not).
 */
export function canvasPixels(
  page: Page,
): Promise<{ readonly painted: number; readonly colours: number; readonly width: number }> {
  return page.evaluate(() => {
    const canvas = document.querySelector<HTMLCanvasElement>('#v-canvas')!;
    const copy = document.createElement('canvas');
    copy.width = canvas.width;
    copy.height = canvas.height;
    const context = copy.getContext('2d')!;
    context.drawImage(canvas, 0, 0);
    const { data } = context.getImageData(0, 0, copy.width, copy.height);
    let painted = 0;
    const colours = new Set<number>();
    for (let i = 0; i < data.length; i += 4) {
      painted += data[i + 3] / 255;
      colours.add((data[i] << 16) | (data[i + 1] << 8) | data[i + 2]);
    }
    return { painted, colours: colours.size, width: canvas.width / canvas.clientWidth };
  });
}

/** A value of the point read last. */
export async function readValue(page: Page, key: string): Promise<string> {
  return (await page.locator(`#v-readout dd[data-key=${key}]`).textContent()) ?? '';
}

/** Millimetres that one CSS pixel shows, from the scale bar. */
export function mmPerPixel(page: Page): Promise<number> {
  return page.evaluate(() => {
    const bar = document.querySelector<HTMLElement>('#v-scale')!;
    return Number.parseFloat(bar.textContent ?? '') / Number.parseFloat(bar.style.width);
  });
}

/**
 * A set-up file with two cutters rather than all the default ones: what is tried in the page does not depend on
 * how many there are.
 */
const twoCutters: SetupFile = {
  cutters: {
    version: 1,
    cutters: [4, 8].map((DC) => ({
      id: `B${DC}`,
      DC,
      RE: DC / 2,
      APMX: DC,
      LU: 30,
      DN: DC - 0.2,
      NOF: 2,
      holder: [{ diameterMm: 22, lengthMm: 40 }],
    })),
  },
};
export const TWO_CUTTERS = JSON.stringify(twoCutters);
/** The same for a part that comes near its shape. */
export const FINISHED_BY_TWO = JSON.stringify({ ...twoCutters, ...FINISHING_ALONE });
