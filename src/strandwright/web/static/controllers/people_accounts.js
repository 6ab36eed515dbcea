/** Accounts, who is signed in here, and the audit log: for the owner. */
import { useState } from "preact/hooks";
import { html } from "../lib/dom.js";
import { post } from "../lib/api.js";
import { useFetched } from "../models/fetched.js";
import { announce } from "../models/shell.js";
import { useTrying, wrongAt } from "./people.js";
import { Failure, Field, momentText, WhenFetched } from "./parts.js";

export function Accounts() {
  const fetched = useFetched("/api/people");
  return html`<${WhenFetched} fetched=${fetched} what="The people">${(found) => html`
    <${Change} found=${found} onChanged=${() => void fetched.fetch()} />
    <article aria-label="Signed in"><h2>Signed in at this bench</h2><ul class="people-rows">${found.sessions.map((one) => html`<li><b>${one.name}</b>
      <span class="wait">from ${one.address}, ${quiet(one.quiet_s)}</span></li>`)}</ul></article>
    <${Log} lines=${found.audit} />`}<//>`;
}

const quiet = (seconds) => (seconds < 90 ? "active now" : `nothing asked for ${Math.round(seconds / 60)} min`);

function Change({ found, onChanged }) {
  const { failure, setFailure, busy, trying } = useTrying();
  const [proof, setProof] = useState("");
  const change = (path, body, said) => trying(async () => {
    await post(path, { ...body, proof });
    announce(said);
    onChanged();
    return true;
  });
  const unproved = wrongAt(failure, "proof");
  return html`<article aria-label="People"><h2>People</h2>
    <dl class="people-roles">${found.roles.map((one) => html`<div><dt>${one.role}</dt><dd>${one.meaning}</dd></div>`)}</dl>
    <form class="people-form" onSubmit=${(e) => e.preventDefault()}><${Field} label="your own password, for any change below" id="people-proof" wrong=${unproved} hint="a bench may stand unattended">
      <input id="people-proof" type="password" autocomplete="current-password" value=${proof} onInput=${(e) => setProof(e.currentTarget.value)} /><//></form>
    ${failure && !unproved && !wrongAt(failure, "password") && !wrongAt(failure, "name") ? html`<${Failure} failure=${failure} onSeen=${() => setFailure(null)} />` : null}
    <ul class="people-rows">${found.accounts.map((one) => html`<${Account} key=${one.name} one=${one} roles=${found.roles} locked=${busy || proof === ""} change=${change} />`)}</ul>
    <${Add} roles=${found.roles} locked=${busy || proof === ""} failure=${failure} change=${change} /></article>`;
}

function Account({ one, roles, locked, change }) {
  const [password, setPassword] = useState("");
  const [open, setOpen] = useState(false);
  const path = `/api/people/${encodeURIComponent(one.name)}`;
  const give = async (/** @type {Event} */ event) => {
    event.preventDefault();
    if (await change(`${path}/password`, { password }, `${one.name} has a new password.`)) { setPassword(""); setOpen(false); }
  };
  return html`<li data-away=${one.put_away ? "yes" : null}><b>${one.name}</b>
    <label class="people-role"><span class="unseen">role of ${one.name}</span><select disabled=${locked || one.put_away} value=${one.role}
      onChange=${async (e) => { const to = e.currentTarget; if (!await change(`${path}/role`, { role: to.value }, `${one.name} is ${to.value} now.`)) to.value = one.role; }}>
      ${roles.map(({ role }) => html`<option value=${role} selected=${role === one.role}>${role}</option>`)}</select></label>
    <span class="acts">${one.put_away ? html`<span class="wait">put away</span>` : html`<button type="button" class="plain" aria-expanded=${open ? "true" : "false"} onClick=${() => setOpen(!open)}>New password</button>`}
      <button type="button" class="plain" disabled=${locked} onClick=${() => change(`${path}/away`, { put_away: !one.put_away }, one.put_away ? `${one.name} may sign in again.` : `${one.name} is put away.`)}>${one.put_away ? "Bring back" : "Put away"}</button></span>
    ${open ? html`<form class="people-form" onSubmit=${give}><label class="field"><span class="label">new password of ${one.name}</span><input type="password" autocomplete="new-password" value=${password} onInput=${(e) => setPassword(e.currentTarget.value)} /></label>
      <p class="acts"><button class="act" disabled=${locked || password === ""}>Give it</button><span class="wait small">every session of ${one.name} ends</span></p></form>` : null}</li>`;
}

const FRESH = { name: "", role: "technician", password: "" };

function Add({ roles, locked, failure, change }) {
  const [typed, setTyped] = useState(FRESH);
  const set = (key) => (/** @type {any} */ event) => setTyped({ ...typed, [key]: event.currentTarget.value });
  const add = async (/** @type {Event} */ event) => {
    event.preventDefault();
    if (await change("/api/people", typed, `${typed.name} may sign in.`)) setTyped(FRESH);
  };
  return html`<form class="people-form people-add" onSubmit=${add} novalidate><h3>Add somebody</h3>
    <${Field} label="name to sign in with" id="add-name" wrong=${wrongAt(failure, "name")}><input id="add-name" autocomplete="off" autocapitalize="none" spellcheck=${false} value=${typed.name} onInput=${set("name")} /><//>
    <${Field} label="role" id="add-role" wrong=${wrongAt(failure, "role")}><select id="add-role" onChange=${set("role")}>${roles.map(({ role }) => html`<option value=${role} selected=${role === typed.role}>${role}</option>`)}</select><//>
    <${Field} label="first password" id="add-password" wrong=${wrongAt(failure, "password")} hint="15 characters or more; they change it themselves"><input id="add-password" type="password" autocomplete="new-password" value=${typed.password} onInput=${set("password")} /><//>
    <p class="acts"><button class="act" disabled=${locked || typed.name === "" || typed.password === ""}>Add</button></p></form>`;
}

const SAID = {
  "signed-in": (b) => `${b.name} signed in${from(b)}`,
  "sign-in-refused": (b) => `a sign-in was refused${b.name ? ` for ${b.name}` : ", for a name nobody has"}${from(b)}`,
  "signed-out": (b) => `${b.name} signed out${b.everywhere ? " everywhere" : ""}`,
  "account-added": (b) => `${b.name} was added as ${b.role}`,
  "role-changed": (b) => `${b.name} became ${b.role}, from ${b.was}`,
  "password-changed": (b) => `the password of ${b.name} was changed`,
  "account-put-away": (b) => `${b.name} was ${b.put_away ? "put away" : "brought back"}`,
  "certificate-made": (b) => `a certificate was made for ${b.names.join(", ")}, good until ${b.until}`,
  "paired": (b) => `${b.label} was paired`,
  "unpaired": (b) => `${b.label} was sent off`,
  "backup-taken": (b) => `a backup of ${b.records} records was taken`,
};
const from = (body) => (body.address ? ` from ${body.address}` : "");

function Log({ lines }) {
  return html`<article aria-label="Audit log"><h2>Who came and went</h2><p class="wait">The newest first; no line of it can be changed.</p>
    <ol class="people-log">${lines.map((line) => html`<li data-type=${line.type}><time datetime=${line.at}>${momentText(line.at)}</time>
      <span>${(SAID[line.type] ?? (() => line.type))(line.body)}</span><span class="wait">${line.by}</span></li>`)}</ol></article>`;
}
