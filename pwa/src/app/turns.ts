/** Work that is done one after the other: the next begins when the last has ended, well or not. */
export function oneByOne(): <T>(work: () => Promise<T>) => Promise<T> {
  let last: Promise<unknown> = Promise.resolve();
  return (work) => {
    const next = last.then(work);
    last = next.catch(() => undefined);
    return next;
  };
}

/** One picture is decoded at a time: twelve megapixels are 48 MB (T33). */
export const decoding = oneByOne();
