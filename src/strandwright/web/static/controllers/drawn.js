/** A drawing the program made, put in as a node. */
import { useLayoutEffect, useRef } from "preact/hooks";

import { html } from "../lib/dom.js";

/** @param {{svg: string, klass?: string}} props */
export function Drawn({ svg, klass = "" }) {
  const box = useRef(/** @type {any} */ (null));
  useLayoutEffect(() => {
    box.current.replaceChildren(document.importNode(new DOMParser().parseFromString(svg, "image/svg+xml").documentElement, true));
  }, [svg]);
  return html`<div ref=${box} class=${klass}></div>`;
}
