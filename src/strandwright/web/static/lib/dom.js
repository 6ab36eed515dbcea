/** Markup in template strings, and text set the way the workshop reads it. */
import { h } from "preact";
import htm from "htm";

/** @type {(parts: TemplateStringsArray, ...values: unknown[]) => any} */
export const html = htm.bind(h);

/**
 * Set numbers as numbers: `57 1/4` gets the fraction slash, which the font draws small, `-0.02` a minus.
 * @param {unknown} text
 * @returns {string}
 */
export function fractions(text) {
  return String(text ?? "").replace(/(?<=[0-9])\/(?=[0-9])/g, "\u2044").replace(/(?<=^|\s)-(?=[0-9])/g, "\u2212");
}

/**
 * Keep number and unit on one line, where a sentence is wrapped.
 * @param {unknown} text
 * @returns {string}
 */
export function bound(text) {
  return fractions(text).replace(/(?<=[0-9]) (?=(?:[0-9]+\u2044|±|in\b|mm\b|lbf\b|N\b|gr\b|ft\b|min\b|%))/g, "\u00a0").replaceAll("± ", "±\u00a0");
}

/**
 * Cut a text at its `±` parts, which belong to their value but may wait.
 * @param {unknown} text
 * @returns {{text: string, soft: boolean}[]}
 */
export function spread(text) {
  return fractions(text)
    .split(/(±\s*[0-9][^,;·()]*?(?=\s(?:in|mm|m|ft|lbf|N|gr|g|%|yd)\b|[,;·()]|$))/)
    .filter((part) => part !== "")
    .map((part) => ({ text: part, soft: part.startsWith("±") }));
}

/**
 * A value and its `±` as one thing.
 * @param {{text: unknown}} props
 */
export function Value({ text }) {
  return html`<span class="value">${spread(text).map((part) => part.soft
    ? html`<span class="pm">${part.text}</span>` : part.text)}</span>`;
}

/**
 * Set plus and minus as one sign, as it is read; typed and sent it is `+-`.
 * @param {unknown} text
 * @returns {string}
 */
export function plusMinus(text) {
  return String(text ?? "").replaceAll("+-", "±");
}

/**
 * Say a count with its noun.
 * @param {number} count
 * @param {string} one
 * @param {string} [many]
 * @returns {string}
 */
export function counted(count, one, many = `${one}s`) {
  return `${count} ${count === 1 ? one : many}`;
}
