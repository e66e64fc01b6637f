// Opens the daybook where the house is out of reach: keeps the page with its
// style and script, shows it when the house does not answer, and renews it
// whenever the house does. Records are not its business; see daybook.js.

const box = "daybook";
const page = "/daybook";
const patience = 4000; // ms for an answer before the kept page is shown

// keep puts a page into the box with everything it refers to, the page last, so
// that no page stands there without its parts.
async function keep(answer) {
  const text = await answer.clone().text();
  const parts = [...text.matchAll(/(?:href|src)="(\/static\/[^"]+)"/g)].map((m) => m[1]);
  const kept = await caches.open(box);
  await Promise.all(parts.map(async (part) => (await kept.match(part)) || kept.add(part)));
  await kept.put(page, answer);
  for (const old of await kept.keys()) {
    const url = new URL(old.url);
    if (url.pathname !== page && !parts.includes(url.pathname + url.search)) await kept.delete(old);
  }
}

// whole tells whether an answer is the page itself, and not the way in or a
// page with a fault.
const whole = (answer) => answer.ok && !answer.redirected && answer.type === "basic";

async function fresh(request) {
  const answer = await fetch(request, { signal: AbortSignal.timeout(patience) });
  if (whole(answer) && !new URL(answer.url).search) {
    try {
      await keep(answer.clone());
    } catch {
      // the house went away half-way, or the phone is full: the old page stays
    }
  }
  return answer;
}

async function open(request) {
  try {
    return await fresh(request);
  } catch (fault) {
    const kept = await caches.match(page);
    if (kept) return kept;
    throw fault;
  }
}

self.addEventListener("install", (event) => {
  event.waitUntil(fetch(page).then((answer) => whole(answer) && keep(answer)).then(() => self.skipWaiting()));
});

self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (request.method !== "GET" || url.origin !== location.origin) return;
  if (request.mode === "navigate" || url.pathname === page) event.respondWith(open(request));
  else if (url.pathname.startsWith("/static/")) event.respondWith(caches.match(request).then((kept) => kept || fetch(request)));
});
