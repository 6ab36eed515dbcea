/** Places as they are keyed: a serving or mark may be measured from the far end. */
import { readField } from "./job_fields.js";

/** @typedef {{text: string, fromFar: boolean, changes: (value: string) => {field: string, value: any}[]}} KeyedPlace */

/**
 * Say how a place reads where it is keyed, and which changes keying it makes.
 *
 * Edges that only the shorthand gives are shown from the zero end; keying one writes both of the
 * serving's edges from the zero end, so that what is typed means what is shown.
 * @param {Record<string, any>} job
 * @param {{field: string, at_text: string}[]} handles
 * @param {string} field
 * @returns {KeyedPlace}
 */
export function keyedPlace(job, handles, field) {
  const owner = field.replace(/\.[^.]+$/, "");
  const fromFar = readField(job, `${owner}.from_far_end`) === true;
  const handle = handles.find((one) => one.field === field);
  const own = readField(job, field);
  const alone = (/** @type {string} */ value) => [{ field, value }];
  if (fromFar) return { text: own ?? "", fromFar, changes: alone };
  const text = handle?.at_text ?? own ?? "";
  const other = field.endsWith(".start") ? `${owner}.stop` : `${owner}.start`;
  const otherHandle = handles.find((one) => one.field === other);
  if (own !== undefined || otherHandle === undefined) return { text, fromFar, changes: alone };
  return { text, fromFar, changes: (value) => [
    { field, value }, { field: other, value: otherHandle.at_text }, { field: `${owner}.from_far_end`, value: false },
  ] };
}
