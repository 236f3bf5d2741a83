import { workerBody, type FromWorker, type ToWorker } from '../../reach/pooled-engine.js';

const body = workerBody((message: FromWorker, transfer: Transferable[]) =>
  postMessage(message, { transfer }),
);
addEventListener('message', ({ data }: MessageEvent<ToWorker>) => body(data));
