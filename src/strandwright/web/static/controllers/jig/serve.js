/** Serve to marks: where to start and stop now, one serving at a time. */
import { fractions, html } from "../../lib/dom.js";
import { outbox } from "../../models/bench_outbox.js";
import { Door, Hear, useEar } from "./ear.js";
import { useNoted } from "./noted.js";
import { ActZone, Stand } from "./parts.js";

export function Serve({ id, advice, step, act }) {
  const [ticked, note] = useNoted(`served/${id}/${step.id}`, []);
  const [heard, noteHeard] = useNoted(`heard/${id}/${step.id}`, "");
  const ear = useEar(id, step);
  if (ticked === undefined || heard === undefined) return null;
  const rows = advice.serve?.rows ?? [];
  // Each serving has its row; what holds for all of them stands above.
  const lines = (act.lines ?? []).filter((line) => !rows.some((row) => line.startsWith(`${row.name}: `)));
  const now = rows.find((row) => !ticked.includes(row.name));
  const toggle = (name) => note(ticked.includes(name) ? ticked.filter((n) => n !== name) : [...ticked, name]);
  const done = async () => {
    await outbox.act(["step-done", { step: step.id, ...(heard ? { load: heard } : {}) }]);
    note([]);
    noteHeard("");
  };
  return html`
    <${Stand} title=${now ? `Serve: ${now.name}` : act.title} caution=${act.caution}
      huge=${now ? `${now.from_text} to ${now.to_text}` : ""}
      under=${now ? detail(now) : act.headline} lines=${lines}>
      <ol class="jig-rows">
        ${rows.map((row) => html`<li key=${row.name} data-now=${row === now ? "" : null}>
          <label><input type="checkbox" checked=${ticked.includes(row.name)} onChange=${() => toggle(row.name)} />
            <i class="jig-thread" style=${{ backgroundColor: row.colour }}></i>
            <span class="jig-row-name">${row.name}</span>
            <span class="jig-row-at">${fractions(row.from_text)} <span class="wait">to</span> ${fractions(row.to_text)}</span>
            <span class="wait">${detail(row)}</span></label></li>`)}
      </ol>
    <//>
    <${Hear} ear=${ear} used=${heard} onUse=${noteHeard} where="goes in when all servings are on." /><${Door} ear=${ear} />
    ${heard ? html`<p class="jig-sides">Served at ${fractions(heard)}, as heard.
      <button class="act" type="button" onClick=${() => noteHeard("")}>Leave that load out</button></p>` : null}
    ${now ? html`<${ActZone} key=${now.name} text=${`${now.name}: served`} onAct=${() => toggle(now.name)} />`
      : html`<${ActZone} key="all" text="All servings are on" onAct=${done} />`}`;
}

function detail(row) {
  return [`from the ${row.pin_text} pin`, row.thread, row.hand && `hand ${row.hand}`, row.wraps_text && fractions(row.wraps_text),
    row.thread_length_text && `${fractions(row.thread_length_text)} of thread`].filter(Boolean).join(", ");
}
