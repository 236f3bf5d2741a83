import type { Server } from 'node:http';
import type { AddressInfo } from 'node:net';
import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { FINISHED_BY_TWO, launchBrowser, newPage, watch } from '../page/browser.js';
import { boxPocket } from '../support/shapes.js';
import { binaryStl } from '../support/stl.js';
import { embeddingServer } from './embed-page.js';

let browser: Browser, server: Server;
beforeAll(async () => {
  server = await embeddingServer();
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  browser = await launchBrowser();
});
afterAll(async () => {
  await browser?.close();
  server?.close();
});

test('in a frame of another page a part is surveyed, on all cores', async () => {
  const page = await newPage(browser);
  const { errors } = watch(page);
  await page.goto(`http://127.0.0.1:${(server.address() as AddressInfo).port}/`);
  const frame = page.frames()[1];
  expect(await frame.evaluate(() => crossOriginIsolated)).toBe(true);
  const file = (name: string, mimeType: string, content: Uint8Array | string) => ({
    name,
    mimeType,
    buffer: Buffer.from(content),
  });
  await frame.setInputFiles('#s-file-file', file('setup.json', 'application/json', FINISHED_BY_TWO));
  const part = binaryStl(boxPocket({ width: 12, length: 10, depth: 4, land: 3 }));
  await frame.setInputFiles('#part', file('pocket.stl', 'model/stl', part));
  await frame.waitForFunction(() => document.documentElement.dataset.done === 'yes');
  expect(await frame.locator('#error').textContent()).toBe('');
  expect(await frame.locator('#report h1').textContent()).toBe('pocket.stl');
  expect(errors).toEqual([]);
  await page.context().close();
});
