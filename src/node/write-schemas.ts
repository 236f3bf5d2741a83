import { mkdir, writeFile } from 'node:fs/promises';
import { fileURLToPath } from 'node:url';
import { catalogueJsonSchema } from '../cutter/catalogue.js';
import { planJsonSchema } from '../plan/plan.js';
import { setupJsonSchema } from '../resolve-setup.js';
import { cuttingDataJsonSchema } from '../time/cutting-data.js';
import { machineJsonSchema } from '../time/machine.js';
import { toJsonText } from '../write/json.js';

/** The published schemas by file name; part of the build: they go into the package beside the code. */
const SCHEMAS: Readonly<Record<string, () => Record<string, unknown>>> = {
  'plan-1': planJsonSchema,
  'setup-1': setupJsonSchema,
  'cutters-1': catalogueJsonSchema,
  'machine-1': machineJsonSchema,
  'cutting-data-1': cuttingDataJsonSchema,
};

const folder = new URL('../schema/', import.meta.url);
await mkdir(folder, { recursive: true });
for (const [name, schema] of Object.entries(SCHEMAS)) {
  await writeFile(fileURLToPath(new URL(`${name}.schema.json`, folder)), toJsonText(schema()));
}
