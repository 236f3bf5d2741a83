/**
 * Does something about every item, so many at a time: while the answer to one is waited for, the next are worked on.
 *
 * @returns in the order of the items
 */
export async function sideBySide<T, R>(
  items: readonly T[],
  most: number,
  work: (item: T, index: number) => Promise<R>,
): Promise<R[]> {
  const found = new Array<R>(items.length);
  let next = 0;
  const lane = async (): Promise<void> => {
    while (next < items.length) {
      const i = next++;
      found[i] = await work(items[i], i);
    }
  };
  await Promise.all(Array.from({ length: most }, lane));
  return found;
}
