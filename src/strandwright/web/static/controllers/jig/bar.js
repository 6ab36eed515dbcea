/** Counted pieces in a row, each colour with its own pattern and name. */
import { html } from "../../lib/dom.js";
import { counted, segments } from "../../models/jig.js";

/** @param {{groups: {name: string, label: string, colour: string, laid: number, halves: number}[], current: number, unit: string}} props */
export function Bar({ groups, current, unit }) {
  return html`<div class="jig-bar">
    ${groups.map((group, i) => {
      const pieces = segments(group.laid, group.halves, group.counts === "strands" ? 1 : 2);
      const next = pieces.findIndex((p) => p.laid < p.size);
      return html`<div class="jig-run" data-pattern=${i % 4} style=${{ flexGrow: pieces.length }}>
        <div class="jig-pieces" role="img"
          aria-label=${`${group.name}: ${counted(group, group.laid)} of ${counted(group, group.halves)} ${unit}`}>
          ${pieces.map((piece, j) => html`<span class="jig-piece" style=${{ flexGrow: piece.size }}
            data-extra=${piece.extra ? "" : null} data-next=${i === current && j === next ? "" : null}>
            <i style=${{ width: `${(100 * piece.laid) / piece.size}%`, backgroundColor: group.colour }}></i></span>`)}
        </div>
        ${group.label ? html`<p class="jig-run-name">${group.label}</p>` : null}
      </div>`;
    })}
  </div>`;
}
