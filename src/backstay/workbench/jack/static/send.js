// The queue: what is kept goes to the server in order, as soon as it answers, and again until it does.
import { meta } from "./dom.js";
import { pending } from "./book.js";

const FIRST = 2000;
const LONGEST = 15000;
const ASK = 10000;
const PATIENCE = 12000;
const MOST = 100;
export const link = { state: "asking", words: null, next: 0 };
let token = meta("token");
let wait = FIRST;
let timer = 0;
let busy = false;
let hurry = false; // to go on at once: it was asked for while a request was on its way, or the token is new

export async function ask(path, { body, patience = PATIENCE } = {}) {
  const stop = new AbortController();
  const ended = setTimeout(() => stop.abort(), patience);
  const headers = body ? { "Content-Type": "application/json", "X-Backstay-Token": token } : {};
  try {
    const answer = await fetch(path, {
      method: body ? "POST" : "GET", body: body && JSON.stringify(body), headers,
      signal: stop.signal, cache: "no-store", credentials: "same-origin", redirect: "manual",
    });
    const type = answer.headers.get("content-type") ?? "";
    return { status: answer.type === "opaqueredirect" ? 401 : answer.status, json: type.includes("json") ? await answer.json() : null };
  } catch {
    return { status: 0, json: null };
  } finally {
    clearTimeout(ended);
  }
}

export function parcel(app, entries, more = {}) {
  return {
    project: app.project, anchor: app.anchor, tablet: app.tablet, by: app.state.by,
    seen: app.state.seen ?? 0, entries, ...more,
  };
}

const query = (app, more = {}) =>
  new URLSearchParams({ project: app.project, anchor: app.anchor, tablet: app.tablet, by: app.state.by, ...more });

// Start the queue. It sends at once, and asks from time to time how the test stands.
export function startSending(app) {
  const soon = () => { wait = FIRST; hurry = busy; schedule(app, 0); };
  addEventListener("online", soon);
  document.addEventListener("visibilitychange", () => { if (!document.hidden) soon(); });
  app.send = soon;
  schedule(app, 0);
}

function schedule(app, ms) {
  clearTimeout(timer);
  link.next = Date.now() + ms;
  timer = setTimeout(() => turn(app), ms);
}

async function turn(app) {
  if (busy) return;
  busy = true;
  let good = false;
  try {
    good = pending(app.entries).length && !app.blocked() ? await post(app) : await look(app);
  } catch {
    good = false;
  } finally {
    busy = false;
  }
  wait = good ? FIRST : Math.min(LONGEST, wait * 2);
  const more = hurry || (good && pending(app.entries).length && !app.blocked());
  hurry = false;
  schedule(app, more ? 0 : good ? ASK : wait);
  app.changed();
}

async function look(app) {
  const { status, json } = await ask(`/api/jack/standing?${query(app)}`);
  await heard(app, status, json);
  if (status !== 200) return false;
  app.off = Date.parse(json.now) - Date.now();
  await app.heard({ standing: json, others: json.others });
  if (!app.plan() || app.planOld() || !app.planChosen()) await askPlan(app);
  return true;
}

// Ask for the plan, of the test that goes on or of the one that would begin with what is chosen.
// An answer that comes after a later question is of what is no longer chosen, and is left aside.
let asked = 0;
export async function askPlan(app) {
  const mine = ++asked;
  const chosen = app.state.chosen ?? {};
  const { status, json } = await ask(`/api/jack/plan?${query(app, chosen)}`);
  if (status === 200 && mine === asked) await app.planned(json, chosen);
  return { status, json };
}

async function post(app) {
  const entries = pending(app.entries).slice(0, MOST);
  const override = app.state.override === true;
  const body = parcel(app, entries.map((e) => e.payload), { override });
  const { status, json } = await ask("/api/jack/entries", { body });
  await app.heard(json ?? {});
  await heard(app, status, json);
  if (status === 200) await app.sent();
  return status === 200 || status === 409;
}

async function heard(app, status, json) {
  const before = link.state;
  if (status === 200 || status === 409) link.state = "answers";
  else if (status === 401 || status === 403) link.state = status === 401 ? "sign in" : "may not";
  else if (status === 503 || status === 404 || status === 422) link.state = "cannot";
  else link.state = "away";
  link.words = json?.words ?? (typeof json?.detail === "string" ? json.detail : json?.detail ? "it does not understand what this page sends; load the page anew" : null);
  if (status === 403) {
    const was = token;
    await freshToken();
    hurry ||= token !== was && before !== "may not"; // once: where it is refused again it waits
  }
  if (before !== link.state) app.changed();
}

// The session may have been renewed in another window: the page as it is now has the token.
async function freshToken() {
  const { ok, text } = await fetch(location.pathname, { cache: "no-store" })
    .then(async (a) => ({ ok: a.ok, text: await a.text() })).catch(() => ({ ok: false, text: "" }));
  if (!ok) return;
  const page = new DOMParser().parseFromString(text, "text/html");
  token = page.querySelector('meta[name="backstay-token"]')?.content ?? token;
}
