/** What every screen shares: the title, what is saved, what is said aloud, the theme, the store's mark. */
import { computed, signal } from "@preact/signals";

/** Things recorded here that the program has not acknowledged yet, by who holds them. */
const held = signal(/** @type {Record<string, number>} */ ({}));

/**
 * Tell how many things one part of the page still has to hand over.
 * @param {string} holder such as `line` or `outbox`
 * @param {number} count
 */
export function setWaiting(holder, count) {
  if ((held.peek()[holder] ?? 0) !== count) held.value = { ...held.peek(), [holder]: count };
}

/** How many things the whole page still has to hand over. */
export const waiting = computed(() => Object.values(held.value).reduce((sum, n) => sum + n, 0));

/** Whether the program answers: null until known. @type {import("@preact/signals").Signal<boolean|null>} */
export const answering = signal(null);

/** Rises when anything kept has changed, here or elsewhere; 0 until heard. */
export const mark = signal(0);

/** Who the program says it is. @type {import("@preact/signals").Signal<{program: string, store: string, demo: boolean}|null>} */
export const hello = signal(null);

/** Said aloud by screen readers, and not shown. */
export const spoken = signal("");

export const savedText = computed(() => (waiting.value === 0
  ? "saved" : `not saved yet: ${waiting.value} waiting`));

/**
 * Say something to those who listen rather than look.
 * @param {string} text
 */
export function announce(text) {
  // The same words twice are silence to a screen reader; a space that nobody sees makes them new.
  spoken.value = text === spoken.value ? `${text}\u00a0` : text;
}

/**
 * Name the screen in the window's title.
 * @param {string} text
 */
export function nameScreen(text) {
  document.title = text === "" ? "strandwright" : `${text} · strandwright`;
}

/** @typedef {"device"|"light"|"dark"|"sun"} Theme */

const KEY = "strandwright.theme";

/** @type {import("@preact/signals").Signal<Theme>} */
export const theme = signal(/** @type {Theme} */ (document.documentElement.dataset.theme ?? "device"));

const dimDevice = matchMedia("(prefers-color-scheme: dark)");
const deviceIsDark = signal(dimDevice.matches);
dimDevice.addEventListener("change", (event) => { deviceIsDark.value = event.matches; });

/** The theme pictures are drawn in by the program. */
export const pictureTheme = computed(() => {
  if (theme.value === "device") return deviceIsDark.value ? "dark" : "light";
  return theme.value;
});

/**
 * Choose the theme and keep the choice.
 * @param {Theme} chosen
 */
export function chooseTheme(chosen) {
  theme.value = chosen;
  const root = document.documentElement;
  if (chosen === "device") delete root.dataset.theme; else root.dataset.theme = chosen;
  try {
    if (chosen === "device") localStorage.removeItem(KEY); else localStorage.setItem(KEY, chosen);
  } catch { announce("The choice lasts until this page is closed: the browser keeps nothing."); }
}
