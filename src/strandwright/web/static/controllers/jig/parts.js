/** What every step at the jig is made of: a stand for its number, its act, its fields. */
import { useEffect, useRef, useState } from "preact/hooks";

import { Value, bound, fractions, html } from "../../lib/dom.js";
import { outbox } from "../../models/bench_outbox.js";
import { testOf } from "../../models/jig.js";
import { Door, Hear } from "./ear.js";
import { mending } from "./refused.js";

/** A touch this soon after the step changed was meant for the step before [ms]. */
const TOO_SOON = 600;

/** Title, caution, huge number and what stands under it. */
export function Stand({ title, caution, huge, of, under, lines = [], children }) {
  const head = useRef(null);
  // The heading takes the focus, never the act: a pedal must not do the next step by itself.
  useEffect(() => head.current?.focus({ preventScroll: true }), [title]);
  return html`
    <div class="jig-body">
      <h1 tabindex="-1" ref=${head}><${Value} text=${title} /></h1>
      ${caution ? html`<p class="jig-caution" role="note"><strong>Caution.</strong> ${caution}</p>` : null}
      ${huge ? html`<p class="jig-huge" data-long=${lengthOf(String(huge))}>
        <${Value} text=${huge} />${of ? html` <span class="jig-of">${fractions(of)}</span>` : null}</p>` : null}
      ${under ? html`<p class="jig-under"><${Value} text=${under} /></p>` : null}
      ${lines.length ? html`<ul class="jig-lines">${lines.map((line) => html`<li>${bound(line)}</li>`)}</ul>` : null}
      ${children}
    </div>`;
}

/** How far a number must give way to its words. */
const lengthOf = (text) => (text.length > 28 ? "most" : text.length > 16 ? "very" : text.length > 5 ? "yes" : null);

/**
 * The one next act, over the lower third.
 * @param {{onAct?: () => void, text: unknown, under?: string, pedal?: boolean, calm?: boolean}} props
 *   without onAct it submits the form it stands in
 */
export function ActZone({ onAct, text, under = "", pedal = false, calm = false, busy = false }) {
  const since = useRef(performance.now());
  const click = (event) => {
    // Not for a counter: there the press judge knows better.
    if (!pedal && performance.now() - since.current < TOO_SOON) return event.preventDefault();
    onAct?.(event);
  };
  return html`
    <button class=${calm ? "jig-act calm" : "jig-act"} type=${onAct ? "button" : "submit"} disabled=${busy}
      data-pedal=${pedal ? "" : null} onClick=${click}>
      <span><${Value} text=${text} /></span>${under ? html`<small>${fractions(under)}</small>` : null}
    </button>`;
}

/**
 * A form whose act lies over the lower third.
 * @param {{build: string, step: object, fields: object[], text: string, pairsOf: (typed: object, isHeard: boolean) => [string, object][]}} props
 *   fields: {name, label, value, hint?, needed?, shown?}; pairsOf gives the acts that are kept together;
 *   ear: hears the load that goes into the field of that name; onHeard is told of it
 */
export function ActForm({ build, step, fields, text, under, pairsOf, before, aside = null, onSent, ear = null, onHeard }) {
  const again = useRefusedOf(build, step);
  const first = () => Object.fromEntries(fields.map((f) => [f.name, again?.event.body[f.name] ?? f.value ?? ""]));
  const [values, setValues] = useState(first);
  const [asked, setAsked] = useState("");
  const [heard, setHeard] = useState("");
  const isHeard = heard !== "" && values.load === heard;
  useEffect(() => {
    if (!again) return;
    setValues(first());
    setHeard(again.event.body.heard ? again.event.body.load : "");
  }, [again?.id]);
  // What a hand has typed is not overwritten by what comes by itself.
  const hear = (entry, byItself) => {
    if (byItself && !isHeard && values.load !== first().load) return;
    setHeard(entry);
    setValues((typed) => ({ ...typed, load: entry }));
    onHeard?.(entry);
  };
  const wrong = (field) => again?.errors?.find((e) => lastPart(e.field) === field.name);
  const send = async (event) => {
    event.preventDefault();
    const missing = fields.find((f) => f.needed && !String(values[f.name]).trim());
    if (missing) return setAsked(missing.name);
    setAsked("");
    const typed = Object.fromEntries(
      Object.entries(values).map(([k, v]) => [k, String(v).trim()]).filter(([, v]) => v !== ""));
    await outbox.act(...pairsOf(typed, isHeard));
    for (const item of refusedOf(build, step)) await outbox.release(item.id);
    onSent?.(typed);
  };
  const field = (f) => html`
    <${Field} ...${f} hint=${f.name === "load" && isHeard ? "as it was heard; another may be typed" : f.hint} value=${values[f.name]} wrong=${asked === f.name ? "Type what you read; the step waits for it." : wordsOf(wrong(f))}
      onInput=${(v) => setValues({ ...values, [f.name]: v })} />`;
  const stands = (f) => f.needed || f.shown || (f.name === "load" && heard !== "");
  const open = fields.filter(stands);
  const folded = fields.filter((f) => !stands(f));
  return html`
    <form class="jig-form" novalidate onSubmit=${send}>
      ${before}
      ${ear ? html`<${Hear} ear=${ear} used=${isHeard ? heard : ""} onUse=${hear} where="goes in with this step, as heard." />` : null}
      <div class="jig-fields">
        ${open.map(field)}
        ${ear ? html`<${Door} ear=${ear} />` : null}
        ${folded.length ? html`<details open=${folded.some((f) => wrong(f)) || null}><summary>Also, if you have it</summary>
          <div class="jig-fields">${folded.map(field)}</div></details>` : null}
      </div>
      ${aside}
      <${ActZone} text=${text} under=${under} />
    </form>`;
}

/** A field as people write in it: fractions, units. */
export function Field({ name, label, value, hint = "", wrong = "", onInput }) {
  const input = useRef(null);
  const id = `jig-${name}`;
  useEffect(() => { if (wrong) input.current?.focus(); }, [wrong]);
  return html`
    <div class="field" data-wrong=${wrong ? "" : null}>
      <label for=${id}>${label}</label>
      <input id=${id} name=${name} ref=${input} value=${value} autocomplete="off" autocapitalize="off" spellcheck=${false}
        aria-invalid=${wrong ? "true" : null} aria-describedby=${`${id}-said`}
        onFocus=${(e) => e.currentTarget.select()} onInput=${(e) => onInput(e.currentTarget.value)} />
      <p id=${`${id}-said`} class=${wrong ? "wrong" : "hint"}>${wrong || fractions(hint)}</p>
    </div>`;
}

/** Refused acts of a step of a build, newest last. */
export function refusedOf(build, step) {
  return outbox.refused.value.filter((item) => item.build === build && testOf(step)(item.event));
}

function useRefusedOf(build, step) {
  return refusedOf(build, step).at(-1);
}

/** A field's name in its form; where the posts stand is told of as the plan calls it. */
const lastPart = (field) => String(field ?? "").split(".").at(-1).replace("wound_at", "outside");

function wordsOf(error) {
  return error ? fractions(`${error.rule}${error.remedy ? `: ${mending(error.remedy)}` : ""}`) : "";
}
