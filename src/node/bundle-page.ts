import { createHash } from 'node:crypto';
import { copyFile, mkdir, rm, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { rolldown, type InputOptions } from 'rolldown';
import { PAGE_STYLE, pageHtml } from '../page/app/page-html.js';
import { REPORT_STYLE } from '../write/report-style.js';

/**
 * Part of the build: bundles the compiled viewer into a string for the report, then the page and its workers.
 */
const dist = fileURLToPath(new URL('..', import.meta.url));
const compiled = (name: string): string => join(dist, 'page', name);

const hashOf = (text: string): string => `sha256-${createHash('sha256').update(text).digest('base64')}`;

async function bundle(entry: string, format: 'iife' | 'esm'): Promise<string> {
  const options: InputOptions = {
    input: compiled(entry),
    platform: 'browser',
    logLevel: 'warn',
    external: [/^node:/],
    // A decoder asks for them where it runs on Node.
    resolve: { alias: { fs: false, path: false } },
  };
  const build = await rolldown(options);
  const { output } = await build.generate({ format, minify: true, codeSplitting: false });
  await build.close();
  return output[0].code;
}

async function writeViewerScript(): Promise<void> {
  // An end tag in a string would end the report's script.
  const script = (await bundle('viewer/main.js', 'iife'))
    .replaceAll('</script', '<\\/script')
    .replaceAll('<!--', '<\\!--');
  await writeFile(
    compiled('viewer-script.js'),
    [
      `export const VIEWER_SCRIPT = ${JSON.stringify(script)};`,
      `export const VIEWER_HASH = ${JSON.stringify(hashOf(script))};`,
      `export const STYLE_HASH = ${JSON.stringify(hashOf(REPORT_STYLE))};`,
      '',
    ].join('\n'),
  );
}

/** A folder that any web server can hand out: the page and its workers. */
async function writeSite(): Promise<void> {
  const site = compiled('site');
  await rm(site, { recursive: true, force: true });
  await mkdir(site, { recursive: true });
  for (const name of ['main.js', 'survey-worker.js', 'reach-worker.js']) {
    await writeFile(join(site, name), await bundle(`app/${name}`, 'esm'));
  }
  // The decoder looks for it beside the script that it is in.
  const decoder = 'draco_decoder_gltf.wasm';
  await copyFile(fileURLToPath(import.meta.resolve(`draco3dgltf/${decoder}`)), join(site, decoder));
  await writeFile(join(site, 'index.html'), pageHtml());
  await writeFile(join(site, 'style.css'), `${REPORT_STYLE}${PAGE_STYLE}`);
}

await writeViewerScript();
await writeSite();
