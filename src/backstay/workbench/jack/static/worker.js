// Opens the page again while the server is away. Data is never kept here: the page does that itself.
const NAME = "backstay-jack-1";
const FILES = ["jack.css", "main.js", "dom.js", "keep.js", "book.js", "send.js", "plot.js", "pad.js", "top.js",
  "tasks.js", "reading.js", "forms.js", "beside.js"].map((name) => `/jack-static/${name}`);

self.addEventListener("install", (event) => {
  event.waitUntil(caches.open(NAME).then((kept) => kept.addAll(FILES)).then(() => self.skipWaiting()));
});

self.addEventListener("activate", (event) => {
  event.waitUntil(caches.keys()
    .then((names) => Promise.all(names.filter((n) => n.startsWith("backstay-jack") && n !== NAME).map((n) => caches.delete(n))))
    .then(() => self.clients.claim())
    .then(() => self.clients.matchAll())
    .then((pages) => Promise.all(pages.map((page) => fetch(page.url, { credentials: "same-origin" })
      .then((answer) => answer.ok && caches.open(NAME).then((kept) => kept.put(page.url, answer)))
      .catch(() => undefined)))));
});

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const path = new URL(request.url).pathname;
  const page = request.mode === "navigate" && path.startsWith("/jack/");
  if (request.method !== "GET" || !(page || path.startsWith("/jack-static/"))) return;
  event.respondWith(served(request));
});

// The server first; where it does not answer soon, what was kept of it.
async function served(request) {
  const kept = await caches.open(NAME);
  try {
    const answer = await fetch(request, { signal: AbortSignal.timeout(4000) });
    if (answer.ok && !answer.redirected) await kept.put(request.url, answer.clone());
    if (answer.status < 500) return answer;
    return (await kept.match(request.url)) ?? answer;
  } catch {
    return (await kept.match(request.url)) ?? Response.error();
  }
}
