import { byPlace } from './place-order.js';
import { itemStride, type ReachAnswers } from './reach-engine.js';

/**
 * Answers a batch with near items mostly after each other: contacts and free places found for one hold for the next.
 * Items at one place keep their order. Item i of the answer belongs to item i of the task, as everywhere.
 */
export const runByPlace: (
  engine: ReachAnswers,
  ...batch: Parameters<ReachAnswers['run']>
) => Promise<Float64Array> = async (engine, task, signal, onDone) => {
  const stride = itemStride(task),
    { items } = task;
  const order = byPlace(items, new Int32Array(items.length / stride), stride);
  const sorted = new Float64Array(items.length);
  order.forEach((i, k) => {
    sorted.set(items.subarray(stride * i, stride * (i + 1)), stride * k);
  });
  const answers = await engine.run({ ...task, items: sorted }, signal, onDone);
  const out = new Float64Array(answers.length);
  order.forEach((i, k) => {
    out[i] = answers[k];
  });
  return out;
};
