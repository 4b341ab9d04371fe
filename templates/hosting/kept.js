// Answers for one passport that somebody asked to keep in this browser. What the web says comes first; what was kept
// goes as soon as the web says that the passport is closed, lost or gone.
"use strict";
const place = registration.scope;
const cacheName = `passport ${new URL(place).pathname}`;
// A host that says nothing of keeping is asked all the same, not the browser's memory of it.
const asking = () => ({ cache: "no-cache", signal: AbortSignal.timeout(8000) });

async function forget() {
  await caches.delete(cacheName);
  await registration.unregister();
}

async function told() {
  const found = await (await caches.open(cacheName)).match(new URL("kept.json", place));
  return found && found.json();
}

// A sealed page and one that says no more than that it is closed look alike from outside, but for the box that they hold.
const kind = (text) =>
  / data-seal="/.test(text) ? "sealed" : /<body class="frame"/.test(text) ? "open" : /<body class="notice-page"/.test(text) ? "closed" : "";

async function fromWeb(answer, at) {
  if ([404, 410].includes(answer.status)) return at === place ? forget() : without(at);
  if (!answer.ok) return;
  const text = await answer.text(), now = kind(text), asked = await told();
  if (now === "closed" || (now === "sealed" && asked && !asked.sealed)) return forget();
  if (!now || !asked) return; // another page, of the network's own perhaps
  const head = { "content-type": "text/html; charset=utf-8", "x-kept": new Date().toISOString() };
  await (await caches.open(cacheName)).put(at, new Response(text, { headers: head }));
}

// The page in the other language is gone: what the passport's own page says decides about the rest.
async function without(at) {
  await (await caches.open(cacheName)).delete(at);
  return fromWeb(await fetch(place, asking()), place);
}

async function kept(at) {
  const found = await caches.has(cacheName) && (await (await caches.open(cacheName)).match(at));
  if (!found) return Response.error();
  const { words, language } = await told();
  const day = new Date(found.headers.get("x-kept")).toLocaleDateString(language, { dateStyle: "long" });
  const safe = words.replace("{date}", day).replace(/&/g, "&amp;").replace(/</g, "&lt;");
  const text = (await found.text()).replace(/<main id="content">/, `$&<p class="notice" role="status">${safe}</p>`);
  return new Response(text, { headers: { "content-type": "text/html; charset=utf-8" } });
}

async function page(event, at) {
  try {
    const answer = await fetch(event.request, asking());
    if (answer.status < 500) {
      event.waitUntil(fromWeb(answer.clone(), at));
      return answer;
    }
  } catch {
    // no network
  }
  return kept(at);
}

async function part(event) {
  const cache = await caches.open(cacheName);
  try {
    const answer = await fetch(event.request, asking());
    if (answer.ok && (await cache.match(event.request))) event.waitUntil(cache.put(event.request, answer.clone()));
    return answer;
  } catch {
    return (await cache.match(event.request)) || Response.error();
  }
}

addEventListener("install", () => skipWaiting());
addEventListener("activate", (event) => event.waitUntil(clients.claim()));
addEventListener("fetch", (event) => {
  const { request } = event;
  if (request.method !== "GET" || !request.url.startsWith(location.origin)) return;
  if (request.mode === "navigate") {
    const [at] = request.url.split("#");
    if (at.startsWith(place) && at.endsWith("/")) event.respondWith(page(event, at));
  } else {
    event.respondWith(part(event));
  }
});
