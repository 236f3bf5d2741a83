/**
 * The last step that still fits, where all before it do: tried in doubled strides, then halved back. So the tries
 * grow with the logarithm of the answer, not of what there is.
 *
 * @param known steps from `first` that fit; the strides double from there
 * @param limit last step that may be tried
 * @returns `first + known` to `limit`; not more than `fits` allowed
 */
export function furthest(
  first: number,
  known: number,
  limit: number,
  fits: (step: number) => boolean,
): number {
  let good = first + known,
    bad = limit + 1;
  for (let stride = 2 * known; first + stride < bad; stride *= 2) {
    if (fits(first + stride)) good = first + stride;
    else bad = first + stride;
  }
  while (bad - good > 1) {
    const middle = (good + bad) >> 1;
    if (fits(middle)) good = middle;
    else bad = middle;
  }
  return good;
}
