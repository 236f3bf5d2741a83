/** Adds an item to the list of a key, which begins with it where there is none. */
export function addToList<K, T>(lists: Map<K, T[]>, key: K, item: T): void {
  const list = lists.get(key);
  if (list) list.push(item);
  else lists.set(key, [item]);
}

/** Many lists of items in two arrays. */
export interface Lists {
  /** (lists + 1) list `l` is `items[start[l]] .. items[start[l + 1] - 1]` */
  readonly start: Uint32Array;
  /** ascending within each list */
  readonly items: Uint32Array;
}

/**
 * Items by key: corners by vertex, facets by region.
 *
 * @param keys (n) list of each item; negative: in none
 * @param count of lists
 */
export function listsByKey(keys: ArrayLike<number>, count: number): Lists {
  // A loop of its own, not that of ranges: millions of corners take half as long.
  const start = new Uint32Array(count + 1);
  for (let i = 0; i < keys.length; i++) if (keys[i] >= 0) start[keys[i] + 1]++;
  for (let list = 0; list < count; list++) start[list + 1] += start[list];
  const next = start.slice(0, count),
    items = new Uint32Array(start[count]);
  for (let i = 0; i < keys.length; i++) if (keys[i] >= 0) items[next[keys[i]]++] = i;
  return { start, items };
}

/**
 * Items that lie in several neighbouring lists each: facets by the levels that they cross.
 *
 * @param from (n) first list of each item; negative: it is in none
 * @param to (n) last list of each item; less than `from`: it is in none
 * @param count of lists; all in `to` are less
 */
export function listsByRange(from: ArrayLike<number>, to: ArrayLike<number>, count: number): Lists {
  const start = new Uint32Array(count + 1);
  for (let i = 0; i < from.length; i++) {
    if (from[i] >= 0) for (let list = from[i]; list <= to[i]; list++) start[list + 1]++;
  }
  for (let list = 0; list < count; list++) start[list + 1] += start[list];
  const next = start.slice(0, count),
    items = new Uint32Array(start[count]);
  for (let i = 0; i < from.length; i++) {
    if (from[i] >= 0) for (let list = from[i]; list <= to[i]; list++) items[next[list]++] = i;
  }
  return { start, items };
}
