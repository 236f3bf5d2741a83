import { Worker } from 'node:worker_threads';
import type { Workplace } from '../survey.js';
import type { PackedView, ViewPacker } from '../write/pack-view.js';
import { viewBuffers } from '../write/view-data.js';
import { reachPool } from './reach-pool.js';

/** Packs a view in a thread of its own, which ends with it. */
const packInThread: ViewPacker = (view) => new Promise((resolve, reject) => {
  const worker = new Worker(new URL('./pack-worker.js', import.meta.url), { workerData: view, transferList: viewBuffers(view) });
  worker.on('message', (packed: PackedView) => resolve(packed));
  worker.on('error', reject);
});

/** Heavy work in threads beside the calling one. */
export const threads = (): Workplace => ({ makeEngine: reachPool(), packView: packInThread });
