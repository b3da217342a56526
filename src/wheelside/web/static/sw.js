/* Over TLS a run sheet that was open once can be loaded again while the book can't be reached. Nothing else is kept, and nothing
   once this browser learns that its visit has ended, or somebody comes in anew. */
"use strict";
const OURS = "wheelside-", NAME = OURS + "STAMP";
const sheet = path => /^\/jobs\/[0-9a-f]+$/.test(path);
const mine = url => url.origin === self.location.origin && (sheet(url.pathname) || url.pathname.startsWith("/static/"));
const ours = async () => (await caches.keys()).filter(name => name.startsWith(OURS)); /* the oldest first */
self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", ev => ev.waitUntil((async () => {
  const before = (await ours()).filter(name => name !== NAME);
  for (const name of before.slice(0, -1)) await caches.delete(name); /* a page that is open still needs those of the version before */
  await self.clients.claim();
})()));
self.addEventListener("message", ev => {
  const {keep = [], forget: all = false} = ev.data || {};
  ev.waitUntil(all ? forget() : together([...new Set(keep)].filter(one => mine(new URL(one, self.location.origin)))).catch(() => {}));
});
self.addEventListener("fetch", ev => {
  const url = new URL(ev.request.url);
  if (url.origin !== self.location.origin) return;
  if (ev.request.method === "POST" && url.pathname.startsWith("/in/")) ev.waitUntil(forget());
  if (ev.request.method !== "GET") return;
  if (mine(url)) ev.respondWith(newest(ev.request, url.pathname));
  else if (ev.request.mode === "navigate") ev.respondWith(asked(ev.request));
});
let ends = 0; /* how often all was forgotten: what was asked for before is not kept after it */
async function together(wanted) { /* a page and its files, or none of them: an open page may be of another version than the server is by now */
  const before = ends, paths = wanted.map(one => new URL(one, self.location.origin).pathname);
  const answers = await Promise.all(paths.map(path => fetch(path)));
  const texts = await Promise.all(answers.filter((_, n) => sheet(paths[n])).map(one => one.clone().text()));
  const whole = texts.every(text => paths.every(path => sheet(path) || text.includes(path)));
  if (whole) await putDown(answers.map((one, n) => [paths[n], one]), before);
}
async function putDown(answers, before) { /* by path: all of them or none, and none if all was forgotten since, or is meanwhile */
  if (ends !== before || !answers.every(([, one]) => one.ok && !one.redirected)) return;
  const cache = await caches.open(NAME);
  await Promise.all(answers.map(([path, one]) => cache.put(path, one)));
  if (ends !== before) await forget();
}
async function asked(request) {
  const answer = await fetch(request);
  if (answer.status === 401) await forget();
  return answer;
}
async function newest(request, path) {
  const before = ends;
  let answer;
  try {
    answer = await asked(request);
  } catch (e) {
    for (const name of (await ours()).reverse()) {
      const kept = await (await caches.open(name)).match(path, {ignoreVary: true});
      if (kept) return kept;
    }
    throw e;
  }
  await putDown([[path, answer.clone()]], before);
  return answer;
}
async function forget() {
  ends += 1;
  for (const name of await ours()) {
    const cache = await caches.open(name);
    for (const one of await cache.keys()) if (sheet(new URL(one.url).pathname)) await cache.delete(one, {ignoreVary: true});
  }
}
