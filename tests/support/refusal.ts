import { PartError } from '../../src/core/errors.js';

/** What a part is refused with; anything else, an answer among it, fails the test. */
export async function refusalOf(work: Promise<unknown>): Promise<PartError['info']> {
  const error = await work.then(
    () => null,
    (reason: unknown) => reason,
  );
  if (!(error instanceof PartError)) throw new Error(`refused with ${String(error)}`);
  return error.info;
}
