import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { expect, test } from 'vitest';
import { ruleBreaches, type Exceptions, type Rule } from './support/source-rules.js';

const ANALYSIS = ['core', 'read', 'mesh', 'spatial', 'fields', 'zones', 'outlines', 'cutters', 'time', 'plan', 'write'];
const SETUP = ['setup.ts', 'setup-defaults.ts'];

/** Who may import whom. Data flows one way; nothing imports upwards. */
const RULES: Readonly<Record<string, Rule>> = {
  core: { may: [], packages: { zod: ['core/check-input.ts'] }, runsIn: 'anywhere' },
  mesh: { may: ['core'], runsIn: 'anywhere' },
  read: { may: ['core', 'mesh'], packages: { '@gltf-transform/core': ['read/gltf.ts', 'read/gltf-json.ts'] }, runsIn: 'anywhere' },
  spatial: { may: ['core', 'mesh'], packages: { three: ['*'], 'three-mesh-bvh': ['*'] }, runsIn: 'anywhere' },
  fields: { may: ['core', 'mesh', 'spatial'], runsIn: 'anywhere' },
  zones: { may: ['core', 'mesh', 'fields'], runsIn: 'anywhere' },
  outlines: {
    may: ['core', 'mesh', 'zones'],
    packages: { 'clipper2-ts': ['outlines/clipper.ts'], 'fast-xml-parser': ['outlines/svg-tree.ts'] }, runsIn: 'anywhere',
  },
  cutters: { may: ['core', 'mesh', 'spatial', 'fields', 'zones'], packages: { zod: ['*'] }, runsIn: 'anywhere' },
  time: { may: ['core', 'mesh', 'zones', 'cutters'], packages: { zod: ['*'] }, runsIn: 'anywhere' },
  'setup-defaults.ts': { may: ['core'], runsIn: 'anywhere' },
  'setup.ts': { may: ['core', 'cutters', 'time', 'setup-defaults.ts'], packages: { zod: ['*'] }, runsIn: 'anywhere' },
  plan: { may: ['core', 'mesh', 'zones', 'outlines', 'cutters', 'time', ...SETUP], packages: { zod: ['*'] }, runsIn: 'anywhere' },
  write: {
    may: ['core', 'mesh', 'zones', 'outlines', 'cutters', 'time', 'plan', ...SETUP],
    packages: {
      '@gltf-transform/core': ['write/coloured-glb.ts'], '@tarikjabiri/dxf': ['write/dxf.ts'],
      fflate: ['write/pack-view.ts'], '#viewer-script': ['write/report.ts'],
    },
    runsIn: 'anywhere',
  },
  survey: { may: [...ANALYSIS, ...SETUP], runsIn: 'anywhere' },
  'survey.ts': { may: [...ANALYSIS, ...SETUP, 'survey'], runsIn: 'anywhere' },
  'index.ts': { may: [...ANALYSIS, ...SETUP, 'survey.ts'], runsIn: 'anywhere' },
  node: { may: ['core', 'read', 'fields', 'survey.ts', ...SETUP], packages: { 'node:*': ['*'], rolldown: ['node/bundle-page.ts'] }, runsIn: 'Node' },
  cli: {
    may: ['core', 'outlines', 'cutters', 'time', 'write', 'node', 'survey.ts', ...SETUP],
    packages: { commander: ['*'], 'node:path': ['*'], 'node:process': ['cli/main.ts'] }, runsIn: 'Node',
  },
  page: {
    may: ['core', 'mesh', 'spatial', 'fields', 'cutters', 'time', 'plan', 'write', 'survey.ts', ...SETUP],
    packages: { three: ['*'] }, runsIn: 'browser',
  },
};

/** The build steps gather what they write from wherever it lives. */
const EXCEPTIONS: Exceptions = {
  'node/write-schemas.ts': ['cutters', 'plan', 'time', 'write'], 'node/bundle-page.ts': ['page', 'write'],
};

test('src keeps to the table', () => {
  expect(ruleBreaches(new URL('../src', import.meta.url).pathname, RULES, EXCEPTIONS)).toEqual([]);
});

test('the table has no circle: each folder may import only what stands above it', () => {
  const order = Object.keys(RULES);
  const upwards = order.flatMap((name, i) => RULES[name].may
    .filter((other) => !order.slice(0, i).includes(other)).map((other) => `${name} may import ${other}`));
  expect(upwards).toEqual([]);
});

/** Breaches found in a tree that holds just these files. */
function breachesIn(files: Readonly<Record<string, string>>): string[] {
  const root = mkdtempSync(join(tmpdir(), 'scarp-tree-'));
  try {
    for (const [name, text] of Object.entries(files)) {
      mkdirSync(dirname(join(root, name)), { recursive: true });
      writeFileSync(join(root, name), text);
    }
    return ruleBreaches(root, RULES, EXCEPTIONS);
  } finally {
    rmSync(root, { recursive: true });
  }
}

test.each([
  ['core/a.ts', "import { x } from '../mesh/b.js';", 'imports ../mesh/b.js'],
  ['mesh/a.ts', "export * from '../zones/deep/b.js';", 'imports ../zones/deep/b.js'],
  ['zones/a.ts', "import type { X } from '../survey.js';", 'imports ../survey.js'],
  ['fields/a.ts', "const x = await import('three');", 'imports three'],
  ['read/stl.ts', "import { WebIO } from '@gltf-transform/core';", 'imports @gltf-transform/core'],
  ['write/a.ts', "import { readFile } from 'node:fs/promises';", 'imports node:fs/promises'],
  ['cli/run.ts', "import process from 'node:process';", 'imports node:process'],
  ['cli/run.ts', "import '../page/view.js';", 'imports ../page/view.js'],
  ['mesh/a.ts', 'export const cwd = process.cwd();', 'uses process'],
  ['mesh/a.ts', 'export const b = Buffer.from([]);', 'uses Buffer'],
  ['mesh/a.ts', 'export const f = (): void => console.log(1);', 'uses console'],
  ['mesh/a.ts', 'export const t = { d: document.title };', 'uses document'],
  ['mesh/a.ts', 'window.close();', 'uses window'],
  ['mesh/a.ts', 'export const n = Date.now();', 'uses Date'],
  ['mesh/a.ts', 'export const n = Math.random();', 'uses Math.random'],
  ['node/a.ts', 'export const n = document;', 'uses document'],
  ['extra/a.ts', '', 'no rule for extra'],
])('a breach in %s is found: %s', (name, text, what) => {
  expect(breachesIn({ [name]: text })).toEqual([`${name}: ${what}`]);
});

test('what is allowed is let through', () => {
  expect(breachesIn({
    'mesh/a.ts': "import { x } from '../core/b.js';\nimport { y } from './c.js';\n// process.exit and window\n"
      + 'export const f = (window: { document: number }) => window.document + x + y;',
    'cli/main.ts': "import process from 'node:process';\nprocess.exitCode = 0;",
    'page/view.ts': "import { Scene } from 'three';\ndocument.append(new Scene().name, String(Date.now()));",
    'write/coloured-glb.ts': "import { Document } from '@gltf-transform/core';\nexport const d = new Document();",
  })).toEqual([]);
});
