/** The buffers of arrays that may move to another thread, each once; texts and shared ones stay. */
export function buffersOf(contents: Iterable<ArrayBufferView | string>): ArrayBuffer[] {
  const buffers = [...contents].map((one) => (typeof one === 'string' ? null : one.buffer));
  return [...new Set(buffers.filter((buffer) => buffer instanceof ArrayBuffer))];
}
