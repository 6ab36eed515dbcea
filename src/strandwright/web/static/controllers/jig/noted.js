/** Something small that must outlast a reload, as state of a component. */
import { useEffect, useState } from "preact/hooks";

import { outbox } from "../../models/bench_outbox.js";

/**
 * @param {string} key
 * @param {unknown} otherwise where nothing was noted
 * @returns {[any, (value: unknown) => void]} undefined until it is known
 */
export function useNoted(key, otherwise) {
  const [value, setValue] = useState(undefined);
  useEffect(() => {
    let gone = false;
    setValue(undefined);
    outbox.noted(key).then((kept) => gone || setValue(kept ?? otherwise));
    return () => { gone = true; };
  }, [key]);
  const note = (next) => {
    setValue(next);
    outbox.note(key, next);
  };
  return [value, note];
}
