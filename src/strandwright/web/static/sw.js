// Keeps the page itself, so that a reload works while the bench computer is silent.
// The server puts `const VERSION = "..."`, a hash of the files, before this text.
/* global VERSION */

const CACHE = `strandwright ${VERSION}`;
const PATIENCE = 2000;
// What a page, a module or a style sheet names: "/static/...", "./x.js", url(...).
const NAMED = /["'(](\/static\/[^"')\s]+|\.{1,2}\/[^"')\s]+\.js)["')]/g;

self.addEventListener("install", (event) => {
  event.waitUntil(keepAll().then(() => self.skipWaiting()));
});

self.addEventListener("activate", (event) => {
  event.waitUntil(dropOlder().then(() => self.clients.claim()));
});

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const { origin, pathname } = new URL(request.url);
  if (request.method !== "GET" || origin !== location.origin) return;
  if (pathname === "/" || pathname.startsWith("/static/")) event.respondWith(served(pathname));
});

/** Follow names from the page on until every file of the shell is kept. */
async function keepAll() {
  const cache = await caches.open(CACHE);
  const seen = new Set(["/"]);
  const rest = ["/"];
  while (rest.length > 0) {
    await Promise.all(rest.splice(0).map(async (path) => {
      const answer = await fetch(path, { cache: "no-cache" });
      if (!answer.ok) return; // a name in a comment or a screen not shipped: not worth failing for
      const readable = /text|javascript|svg/.test(answer.headers.get("Content-Type") ?? "");
      const text = readable ? await answer.clone().text() : "";
      await cache.put(path, answer);
      for (const [, named] of text.matchAll(NAMED)) {
        const next = new URL(named, new URL(path, location.origin)).pathname;
        if (!seen.has(next)) {
          seen.add(next);
          rest.push(next);
        }
      }
    }));
  }
}

async function dropOlder() {
  for (const name of await caches.keys()) {
    if (name.startsWith("strandwright ") && name !== CACHE) await caches.delete(name);
  }
}

/** The server's file where it answers in time, else the one kept. */
async function served(path) {
  const cache = await caches.open(CACHE);
  try {
    const answer = await fetch(path, { signal: AbortSignal.timeout(PATIENCE), cache: "no-cache" });
    if (answer.ok) await cache.put(path, answer.clone());
    return answer;
  } catch {
    const kept = await cache.match(path);
    return kept ?? new Response("The bench computer does not answer and this was not kept.", {
      status: 504, headers: { "Content-Type": "text/plain" },
    });
  }
}
