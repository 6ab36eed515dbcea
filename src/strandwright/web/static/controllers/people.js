/** Benches & people: who is here, phones that are paired, accounts and what they may, the audit log. */
import { useEffect, useState } from "preact/hooks";
import { counted, html } from "../lib/dom.js";
import { post } from "../lib/api.js";
import { useFetched } from "../models/fetched.js";
import { announce, waiting } from "../models/shell.js";
import { may, remember, visitor } from "../models/visitor.js";
import { Accounts } from "./people_accounts.js";
import { Failure, Field, momentText, WhenFetched } from "./parts.js";

export function Screen() {
  const here = visitor.value;
  if (here === null) {
    return html`<section class="page people"><h1>Benches & people</h1><p class="lead">This app answers on this computer alone, and asks nobody to sign in.</p>
      <p>For other benches and phones start it with <code>strandwright --listen</code>.</p></section>`;
  }
  return html`<section class="page people"><header class="page-head"><h1>Benches & people</h1><p class="wait">this bench: <b>${here.bench}</b></p></header>
    <${Own} here=${here} />
    ${may("technician") ? html`<${Phones} />` : null}
    ${may("owner") ? html`<${Accounts} />` : null}</section>`;
}

/** Do something, and keep what went wrong to be shown. */
export function useTrying() {
  const [failure, setFailure] = useState(/** @type {any} */ (null));
  const [busy, setBusy] = useState(false);
  const trying = async (/** @type {() => Promise<any>} */ work) => {
    setBusy(true); setFailure(null);
    try { return await work(); } catch (error) { setFailure(error); return undefined; } finally { setBusy(false); }
  };
  return { failure, setFailure, busy, trying };
}

/** What is wrong with one field. */
export const wrongAt = (failure, field) => failure?.errors?.find((one) => one.field === field);

function Own({ here }) {
  const { failure, setFailure, busy, trying } = useTrying();
  const [changing, setChanging] = useState(false);
  const out = (path) => trying(async () => {
    await post(path, {});
    remember(null);
    // Nothing of the page that was here is left in this window's memory.
    location.replace("/");
  });
  const still = waiting.value;
  return html`<article aria-label="You"><h2>${here.name}</h2>
    <p>${here.phone ? "a paired phone: it counts rounds and sends photos at this bench" : `signed in as ${here.role}`}</p>
    <${Failure} failure=${changing ? null : failure} onSeen=${() => setFailure(null)} />
    ${still > 0 ? html`<p class="wrong" role="status">${counted(still, "act waits", "acts wait")} in this browser and would be lost; sign out when they are saved.</p>` : null}
    <p class="acts"><button type="button" class="act" disabled=${busy || still > 0} onClick=${() => out("/api/session/end")}>${here.phone ? "Send this phone off" : "Sign out"}</button>
      ${here.phone ? null : html`<button type="button" class="act" disabled=${busy || still > 0} onClick=${() => out("/api/session/everywhere")}>Sign out everywhere</button>
        <button type="button" class="plain" aria-expanded=${changing ? "true" : "false"} onClick=${() => { setChanging(!changing); setFailure(null); }}>Change your password</button>`}</p>
    ${changing ? html`<${OwnPassword} onDone=${() => setChanging(false)} />` : null}</article>`;
}

function OwnPassword({ onDone }) {
  const { failure, busy, trying } = useTrying();
  const [typed, setTyped] = useState({ old: "", new: "" });
  const save = (/** @type {Event} */ event) => {
    event.preventDefault();
    void trying(async () => { await post("/api/session/password", typed); announce("Your password is changed."); onDone(); });
  };
  const wrong = { old: wrongAt(failure, "old"), new: wrongAt(failure, "password") };
  const field = (key, label, kind, hint = "") => html`<${Field} label=${label} id=${`own-${key}`} wrong=${wrong[key]} hint=${hint}>
    <input id=${`own-${key}`} type="password" autocomplete=${kind} value=${typed[key]} onInput=${(e) => setTyped({ ...typed, [key]: e.currentTarget.value })} /><//>`;
  return html`<form class="people-form" onSubmit=${save} novalidate>${field("old", "password as it is", "current-password")}${field("new", "new password", "new-password", "15 characters or more: four words that do not belong together")}
    ${failure && !wrong.old && !wrong.new ? html`<${Failure} failure=${failure} />` : null}
    <p class="acts"><button class="act" disabled=${busy || typed.old === "" || typed.new === ""}>Change it</button><span class="wait small">you stay signed in here, and are signed out elsewhere</span></p></form>`;
}

function Phones() {
  const fetched = useFetched("/api/pairings");
  const [code, setCode] = useState(/** @type {any} */ (null));
  const { failure, setFailure, busy, trying } = useTrying();
  const phones = fetched.value.value?.phones.length;
  // The phone has come in: the code is used up.
  useEffect(() => { if (code && phones > code.before) { setCode(null); announce("The phone is paired."); } }, [phones]);
  const pair = () => trying(async () => setCode({ ...await post("/api/pairings", {}), before: phones ?? 0, until: Date.now() + 120_000 }));
  return html`<article aria-label="Phones"><h2>Phones at this bench</h2>
    <p class="wait">A paired phone counts rounds and sends photos at this bench, and nothing else, until it is sent off.</p>
    <${Failure} failure=${failure} onSeen=${() => setFailure(null)} />
    ${code ? html`<${Code} code=${code} onOver=${() => setCode(null)} />` : html`<p class="acts"><button type="button" class="act" disabled=${busy} onClick=${pair}>Pair a phone</button></p>`}
    <${WhenFetched} fetched=${fetched} what="The phones">${(found) => (found.phones.length === 0 ? html`<p class="wait">None is paired.</p>`
      : html`<ul class="people-rows">${found.phones.map((phone) => html`<li key=${phone.id}><b>${phone.label}</b><span class="wait">paired ${momentText(phone.at)} by ${phone.by}</span>
        <button type="button" class="act" disabled=${busy} onClick=${() => trying(async () => { await post(`/api/pairings/${phone.id}/end`, {}); await fetched.fetch(); })}>Send it off</button></li>`)}</ul>`)}<//></article>`;
}

/** The code a phone reads; it is good once, for two minutes. */
function Code({ code, onOver }) {
  const [left, setLeft] = useState(120);
  useEffect(() => {
    const timer = setInterval(() => { const rest = Math.ceil((code.until - Date.now()) / 1000); if (rest <= 0) onOver(); else setLeft(rest); }, 500);
    return () => clearInterval(timer);
  }, [code]);
  return html`<div class="pairing"><img src=${code.picture} alt="Code for a phone's camera" />
    <div><p><b>Point the phone's camera at it</b> and open the address. The phone must trust this shop's certificate: <code>strandwright certificate</code> says how.</p>
      <p role="timer">Good once, for ${left} s more.</p>
      <p class="wait small">Or type the address: <span class="pairing-address">${code.address}</span></p>
      <p><button type="button" class="act" onClick=${onOver}>Put it away</button></p></div></div>`;
}
