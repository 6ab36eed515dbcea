/** The pages of the door: sign in, and pair a phone. */
import { useEffect, useRef, useState } from "preact/hooks";
import { fractions, html } from "../lib/dom.js";
import { post } from "../lib/api.js";
import { remember } from "../models/visitor.js";

function Door({ title, lead, children }) {
  const head = useRef(/** @type {HTMLElement|null} */ (null));
  useEffect(() => { document.title = `${title} · strandwright`; }, [title]);
  return html`<main class="door"><p class="wordmark">strandwright</p><h1 ref=${head}>${title}</h1>
    ${lead ? html`<p class="wait">${lead}</p>` : null}${children}</main>`;
}

/** What was said of a failure; the wait counts down. */
function Said({ failure, onOver }) {
  const [left, setLeft] = useState(0);
  useEffect(() => {
    if (!failure?.wait) { setLeft(0); return undefined; }
    setLeft(failure.wait);
    const timer = setInterval(() => setLeft((n) => {
      if (n <= 1) { clearInterval(timer); onOver?.(); return 0; }
      return n - 1;
    }), 1000);
    return () => clearInterval(timer);
  }, [failure]);
  if (!failure) return null;
  const said = left > 0 ? `Too many attempts. Try again in ${left} s.` : failure.wait ? "Now try again." : sentence(failure.message);
  return html`<p class="wrong" role=${left > 0 ? "timer" : "alert"}>${fractions(said)}</p>`;
}

const sentence = (text) => { const said = `${text.slice(0, 1).toUpperCase()}${text.slice(1)}`; return /[.!?]$/.test(said) ? said : `${said}.`; };

/** Ask, and tell a wait apart from what was wrong. */
function useAsking(onIn) {
  const [busy, setBusy] = useState(false);
  const [failure, setFailure] = useState(/** @type {any} */ (null));
  const ask = async (path, body) => {
    setBusy(true); setFailure(null);
    try {
      onIn(remember(await post(path, body)));
      return true;
    } catch (error) {
      const wait = error.status === 429 ? Number(/([0-9]+) s$/.exec(error.message)?.[1] ?? 5) : 0;
      setFailure({ message: error.message, wait });
      return false;
    } finally { setBusy(false); }
  };
  return { busy, failure, ask, over: () => setFailure(null) };
}

/** @param {{before: string, onIn: (here: any) => void}} props before: who was here until a moment ago */
export function SignIn({ before, onIn }) {
  const [name, setName] = useState(before);
  const [password, setPassword] = useState("");
  const { busy, failure, ask, over } = useAsking(onIn);
  const first = useRef(/** @type {HTMLInputElement|null} */ (null));
  useEffect(() => first.current?.focus(), []);
  const send = async (/** @type {Event} */ event) => {
    event.preventDefault();
    if (!await ask("/api/session", { name, password })) { setPassword(""); document.getElementById("door-password")?.focus(); }
  };
  const lead = before ? "You are signed out. What you typed on this page is still here, and what you counted waits in this browser." : "";
  return html`<${Door} title=${before ? "Sign in again" : "Sign in"} lead=${lead}><form onSubmit=${send} novalidate>
    <div class="field"><label for="door-name">name</label>
      <input id="door-name" name="username" value=${name} ref=${before ? null : first} autocomplete="username" autocapitalize="none" spellcheck=${false} required onInput=${(e) => setName(e.currentTarget.value)} /></div>
    <div class="field" data-wrong=${failure && !failure.wait ? "yes" : null}><label for="door-password">password</label>
      <input id="door-password" name="password" type="password" value=${password} ref=${before ? first : null} autocomplete="current-password" required aria-describedby="door-said" onInput=${(e) => setPassword(e.currentTarget.value)} /></div>
    <div id="door-said"><${Said} failure=${failure} onOver=${over} /></div>
    <p class="acts"><button class="act next" disabled=${busy || name === "" || password === "" || failure?.wait > 0}>${busy ? "Looking…" : "Sign in"}</button></p>
    <p class="wait small">Forgotten it? An owner gives you another on the screen Benches & people, or at the bench computer: <code>strandwright account password NAME</code>.</p>
  </form><//>`;
}

/** @param {{code: string, onIn: (here: any) => void}} props */
export function Pair({ code, onIn }) {
  const [label, setLabel] = useState("");
  const { busy, failure, ask, over } = useAsking(onIn);
  const first = useRef(/** @type {HTMLInputElement|null} */ (null));
  useEffect(() => first.current?.focus(), []);
  const send = (/** @type {Event} */ event) => { event.preventDefault(); void ask("/api/pair", { code, label }); };
  return html`<${Door} title="Pair this phone" lead="It may then count rounds and send photos at this bench, and nothing else, until it is sent off there.">
    <form onSubmit=${send} novalidate><div class="field"><label for="door-label">whose phone it is</label>
      <input id="door-label" value=${label} ref=${first} maxlength="30" autocomplete="off" placeholder="such as Mara's phone" onInput=${(e) => setLabel(e.currentTarget.value)} /></div>
    <${Said} failure=${failure} onOver=${over} />
    <p class="acts"><button class="act next" disabled=${busy || label.trim() === "" || failure?.wait > 0}>${busy ? "Pairing…" : "Pair it"}</button></p></form><//>`;
}
