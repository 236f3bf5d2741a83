/**
 * Frames per second while a report of about 100 000 facets is turned, drawn by software in a headless browser at 1440
 * by 900; the reference is the same picture drawn sharp, as it is at rest. The aim is 10 frames per second.
 */
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { reachPool } from '../../src/node/index.js';
import { resolveSetup } from '../../src/resolve-setup.js';
import { surveyPart } from '../../src/survey/survey.js';
import { launchBrowser, newPage, TWO_CUTTERS, viewReady } from '../page/browser.js';
import { binaryStl } from '../support/stl.js';
import { MADE_PARTS } from './made-parts.js';

const FRAMES = 30;

const folder = mkdtempSync(join(tmpdir(), 'scarp-frames-'));
const { files } = await surveyPart(
  binaryStl(MADE_PARTS['waves 100 k']()),
  'part.stl',
  resolveSetup(JSON.parse(TWO_CUTTERS), { unit: 'mm', radiiMm: [2] }),
  {},
  reachPool(),
);
const path = join(folder, 'report.html');
writeFileSync(path, String(files.get('report.html')));
const browser = await launchBrowser();
try {
  const page = await newPage(browser, { viewport: { width: 1440, height: 900 }, smooth: true });
  await page.goto(`file://${path}`);
  await viewReady(page);
  const facets = await page.evaluate(
    () =>
      (
        JSON.parse(document.querySelector('#scene-facts')!.textContent ?? '') as {
          mesh: { triangles: number };
        }
      ).mesh.triangles,
  );
  const perSecond = (moves: boolean): Promise<number> =>
    page.evaluate(
      async ({ frames, isMoving }) => {
        const canvas = document.querySelector<HTMLCanvasElement>('#v-canvas')!;
        const context = canvas.getContext('webgl2')!;
        const tell = (kind: string, x: number): boolean =>
          canvas.dispatchEvent(
            new PointerEvent(kind, { pointerId: 1, clientX: x, clientY: 300, buttons: 1, button: 0 }),
          );
        canvas.setPointerCapture = () => undefined;
        const drawn = async (): Promise<void> => {
          await new Promise((resolve) => {
            requestAnimationFrame(() => requestAnimationFrame(resolve));
          });
          context.readPixels(0, 0, 1, 1, context.RGBA, context.UNSIGNED_BYTE, new Uint8Array(4));
        };
        tell('pointerdown', 400);
        await drawn();
        const fromMs = performance.now();
        for (let i = 1; i <= frames; i++) {
          if (!isMoving) tell('pointerdown', 400 + 4 * i - 4);
          tell('pointermove', 400 + 4 * i);
          // At rest it is drawn sharp.
          if (!isMoving) tell('pointerup', 400 + 4 * i);
          await drawn();
        }
        const seconds = (performance.now() - fromMs) / 1000;
        tell('pointercancel', 400);
        return frames / seconds;
      },
      { frames: FRAMES, isMoving: moves },
    );
  const sharp = await perSecond(false),
    moving = await perSecond(true);
  console.log(`${facets} facets  sharp ${sharp.toFixed(1)}/s  while turned ${moving.toFixed(1)}/s`);
  console.log(`while turned / sharp: ${(moving / sharp).toFixed(2)}`);
} finally {
  await browser.close();
  rmSync(folder, { recursive: true });
}
