/* Over TLS a run sheet that was open once can be loaded again while the book can't be reached. Nothing else is kept. */
"use strict";
const NAME = "wheelside-STAMP";
const mine = url => url.origin === self.location.origin && (/^\/jobs\/[0-9a-f]+$/.test(url.pathname) || url.pathname.startsWith("/static/"));
self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", ev => ev.waitUntil((async () => {
  for (const name of await caches.keys()) if (name.startsWith("wheelside-") && name !== NAME) await caches.delete(name);
  await self.clients.claim();
})()));
self.addEventListener("message", ev => {
  const wanted = (ev.data && ev.data.keep) || [];
  ev.waitUntil((async () => {
    const cache = await caches.open(NAME);
    for (const one of wanted) if (mine(new URL(one, self.location.origin))) await cache.add(one).catch(() => {});
  })());
});
self.addEventListener("fetch", ev => {
  const url = new URL(ev.request.url);
  if (ev.request.method !== "GET" || !mine(url)) return;
  ev.respondWith((async () => {
    const cache = await caches.open(NAME);
    try {
      const answer = await fetch(ev.request);
      if (answer.ok && !answer.redirected) await cache.put(url.pathname, answer.clone());
      return answer;
    } catch (e) {
      const kept = await cache.match(url.pathname, {ignoreVary: true});
      if (kept) return kept;
      throw e;
    }
  })());
});
