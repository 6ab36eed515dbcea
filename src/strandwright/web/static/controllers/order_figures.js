/** As it came: pictures of the routing and the figures at rest, before any press. */
import { fractions, html } from "../lib/dom.js";
import { asNumber, told } from "../models/order_draft.js";
import { handOver } from "../models/photos.js";
import { Part, Photos, Units } from "./order_parts.js";
import { Field } from "./parts.js";
import { Wrongs } from "./order_who.js";

const BOLTS = [["upper", "upper bolt, turns out"], ["lower", "lower bolt, turns out"]];
const WHEELED = ["one-cam", "two-cam", "hybrid-cam"];
const pictured = (kind) => (WHEELED.includes(kind) ? "Both wheels, the slide" : kind === "crossbow" ? "Both limb tips, rail and latch" : "Both tips, the nocking point");

export function Figures({ page, draft, write, trying, next }) {
  const typed = draft.typed.value;
  if (page.bow === null) return null;
  const drawable = page.verdict.drawable;
  const shown = page.figures.filter((figure) => drawable || !figure.drawn || figure.text);
  const missing = new Map(page.missing.filter((one) => one.part === "baseline").map((one) => [one.name, one]));
  const braced = typed.braced ?? page.braced;
  const body = () => {
    const { upper, lower, ...figures } = told(typed.figures);
    const bolts = told({ upper: upper ?? "", lower: lower ?? "" });
    const numbers = Object.fromEntries(Object.entries(bolts).map(([name, text]) => [name, asNumber(text)]));
    const baseline = { ...figures, ...(Object.keys(numbers).length > 0 ? { limb_bolts: { ...page.bow.limb_bolts, ...numbers } } : {}), ...(typed.braced === null ? {} : { braced: typed.braced }) };
    return { ...(Object.keys(baseline).length > 0 ? { baseline } : {}), ...(typed.photos.length > 0 ? { photos: typed.photos } : {}) };
  };
  const dirty = Object.keys(body()).length > 0;
  const save = async (/** @type {Event} */ event) => {
    event.preventDefault();
    const sent = draft.typed.value;
    if (sent.photos.length > 0 && await trying(async () => { await handOver(sent.photos); return true; }) !== true) return;
    await write("figures", "bow-looked-at", body(), (now) => ({
      figures: now.figures === sent.figures ? {} : now.figures, photos: now.photos.filter((name) => !sent.photos.includes(name)), braced: now.braced === sent.braced ? null : now.braced,
    }));
  };
  const isNext = ["measure bow", "photo"].includes(next);
  return html`<${Part} id="as-it-came" title="As it came" said="Before any press: a set bow differs from its label, so what it measures now is what the new lines bring it back to.">
    <form class="order-form" onSubmit=${save} novalidate>
      <h3>Pictures</h3>
      <p class="wait">${pictured(page.bow.kind)}, and the whole bow from both sides. They are scaled down here, and leave without the place they were taken at.</p>
      <${Photos} names=${[...page.photos, ...typed.photos.filter((name) => !page.photos.includes(name))]} kept=${page.photos} label="Take pictures" onTaken=${(name) => draft.put({ photos: [...new Set([...draft.typed.value.photos, name])] })}
        onDropped=${typed.photos.length > 0 ? (name) => draft.put({ photos: typed.photos.filter((one) => one !== name) }) : undefined} />
      <h3>Figures at rest</h3>
      <label class="tick"><input type="checkbox" checked=${!braced} onChange=${(e) => draft.put({ braced: e.currentTarget.checked ? false : true })} />It came without its lines, or they do not hold: nothing can be read.</label>
      ${!braced ? null : html`<div class="fields">${shown.map((figure) => html`<${One} key=${figure.name} figure=${figure} draft=${draft} missing=${missing.get(figure.name)} />`)}
        ${WHEELED.includes(page.bow.kind) ? BOLTS.map(([name, label]) => html`<${Field} label=${label} id=${`figure-${name}`} wrong=${draft.wrongAt(`limb_bolts.${name}`)} hint="as the marks tell; do not turn them to count">
          <input id=${`figure-${name}`} inputmode="decimal" autocomplete="off" value=${typed.figures[name] ?? page.bow.limb_bolts?.[name] ?? ""} aria-describedby=${`figure-${name}-hint`} onInput=${(e) => draft.type("figures", name, e.currentTarget.value)} /><//>`) : null}
        <${Units} id="figure-units" /></div>`}
      <p class=${drawable ? "caution" : "told"}>${page.cautions.draw}</p>
      <${Wrongs} draft=${draft} part="figures" at=${[...shown.map((figure) => figure.name), "limb_bolts.upper", "limb_bolts.lower"]} />
      <div class="acts"><button class=${isNext ? "act next" : "act"} disabled=${!dirty || draft.busy.value !== ""}>${draft.busy.value === "figures" ? "Writing…" : "Write it down"}</button></div>
    </form><//>`;
}

function One({ figure, draft, missing }) {
  const id = `figure-${figure.name}`;
  const wrong = draft.wrongAt(`baseline.${figure.name}`);
  const value = draft.typed.value.figures[figure.name] ?? figure.text;
  const hint = [figure.why, missing?.needed ? "needed" : ""].filter(Boolean).join("; ");
  return html`<${Field} label=${figure.label} id=${id} wrong=${wrong} hint=${hint}>
    <input id=${id} value=${value} placeholder=${`such as ${fractions(figure.such)}`} autocomplete="off" spellcheck=${false} aria-invalid=${wrong ? "true" : null}
      aria-describedby=${[wrong ? `${id}-wrong` : "", hint ? `${id}-hint` : ""].join(" ").trim() || null} onInput=${(e) => draft.type("figures", figure.name, e.currentTarget.value)} /><//>`;
}
