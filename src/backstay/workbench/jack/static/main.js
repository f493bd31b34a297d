// The stressing page: what the tablet keeps, what the server says, and the one task at hand.
import { meta, identity, moment } from "./dom.js";
import { openKeep } from "./keep.js";
import { merged, pending, position } from "./book.js";
import { startSending, askPlan } from "./send.js";
import { showTop, showNotices } from "./top.js";
import { showTask, tick } from "./tasks.js";
import { showBeside } from "./beside.js";

const app = {
  project: meta("project"), anchor: meta("anchor"), person: meta("person"),
  entries: [], standing: null, plans: null, others: [], tabs: 0, offline: "", overlay: null, planDrawn: 0,
};
app.place = `${app.project}\n${app.anchor}`;
const first = meta("units") || "SI";

app.plan = () => app.plans?.plan?.in[app.state.units.load] ?? null;
app.planIn = (units) => app.plans.plan.in[units];
// A plan is of one test: when another test goes on than it was made for, it is asked for anew.
app.planOld = () => (app.standing?.test?.open ?? false) && app.plans?.of !== app.standing.test.number;
app.blocked = () => app.entries.some((e) => e.state === "kept" && e.refused) || (app.state.elsewhere?.length ?? 0) > 0;

// Keep an entry on the tablet; it is there for good before this returns, and is then sent.
app.add = async (what, fields, at = Date.now()) => {
  const id = identity();
  const payload = { id, what, at: moment(at), by: app.state.by, ...fields };
  const entry = { id, place: app.place, order: (app.entries.at(-1)?.order ?? 0) + 1, state: "kept", payload };
  await app.store(entry);
  app.entries.push(entry);
  channel?.postMessage({ place: app.place, kind: "entries" });
  app.send();
  app.changed();
  return entry;
};

app.store = async (entry) => {
  try {
    await app.keep.put(entry);
  } catch (error) {
    app.broken = `This tablet cannot keep the entry (${error?.message ?? error}). Write it down on paper, and do not go on here.`;
    app.changed();
    throw error;
  }
};

app.set = async (changes) => {
  Object.assign(app.state, changes);
  await app.keep.set(`${app.place}\nstate`, app.state);
};

// What the server said of entries, and how the test stands with them. All of it holds at once, before
// anything is kept or drawn: between the two the page would show a test that was not begun.
app.heard = async ({ results = [], standing, others, elsewhere }) => {
  const told = [];
  for (const result of results) {
    const entry = app.entries.find((e) => e.id === result.id);
    if (!entry) continue;
    if (result.state === "stored") Object.assign(entry, { state: "stored", number: result.number, test: result.test, refused: null });
    else entry.refused = result.words;
    if (result.state === "stored" && entry.payload.what === "begin") app.state.another = false;
    told.push(entry);
  }
  if (elsewhere) app.state.elsewhere = elsewhere; // a person looks before anything is sent
  if (standing) app.standing = standing;
  if (others && !elsewhere) app.others = others;
  if (standing && !elsewhere && !app.blocked()) app.state.seen = Math.max(0, standing.last);
  if (standing && !elsewhere) await app.keep.set(`${app.place}\nstanding`, standing);
  for (const entry of told) await app.store(entry);
  await app.set({});
};

app.planned = async (plans, chosen) => {
  if (JSON.stringify(plans.plan) !== JSON.stringify(app.plans?.plan)) app.planDrawn += 1;
  app.plans = { ...plans, chosen: JSON.stringify(chosen), of: app.standing?.test?.open ? app.standing.test.number : null };
  await app.keep.set(`${app.place}\nplans`, app.plans);
  app.changed();
};
// Whether the plan at hand is of what is chosen, not of what was chosen before.
app.planChosen = () => app.plans?.chosen === JSON.stringify(app.state.chosen);

app.sent = async () => { if (app.state.override) await app.set({ override: false }); };
app.goOnAfterOthers = async () => {
  await app.set({ elsewhere: null, override: true });
  app.send();
};
app.setAside = async (entries) => {
  for (const entry of entries) {
    entry.state = "set aside";
    await app.store(entry);
  }
  await app.set({ elsewhere: null, draft: null, hold: null });
  app.send();
  app.changed();
};
app.tryAgain = async () => {
  for (const entry of pending(app.entries)) {
    if (!entry.refused) continue;
    entry.refused = null;
    await app.store(entry);
  }
  app.send();
  app.changed();
};

app.readings = () => merged(app.entries, app.standing);
app.position = () => position(app);
app.askPlan = () => askPlan(app);
app.show = (overlay) => { app.overlay = overlay; app.changed(); };

let drawn = false;
app.changed = () => {
  if (drawn) return;
  drawn = true;
  queueMicrotask(() => {
    drawn = false;
    showTop(app);
    showNotices(app);
    showTask(app);
    showBeside(app);
  });
};
app.say = (words) => { document.getElementById("spoken").textContent = words; };

const channel = "BroadcastChannel" in window ? new BroadcastChannel("backstay-jack") : null;
function meetOtherTabs() {
  if (!channel) return;
  channel.onmessage = async ({ data }) => {
    if (data.place !== app.place) return;
    if (data.kind === "hello") channel.postMessage({ place: app.place, kind: "here" });
    if (data.kind === "bye") { app.tabs = 0; app.changed(); return; }
    if (data.kind === "entries") app.entries = await app.keep.entries(app.place);
    app.tabs = Date.now();
    app.changed();
  };
  channel.postMessage({ place: app.place, kind: "hello" });
  addEventListener("pagehide", () => channel.postMessage({ place: app.place, kind: "bye" }));
}

// The screen stays lit beside the jack, where the browser allows it.
async function stayLit() {
  if (document.hidden) return;
  try {
    await navigator.wakeLock?.request("screen");
  } catch { /* the tablet saves its battery: nothing is lost by it */ }
}

async function keepOpen() {
  if (!("serviceWorker" in navigator)) {
    app.offline = "Keep this page open: at this address the browser cannot open it again while the server is away. What is typed stays on the tablet all the same.";
    return;
  }
  try {
    await navigator.serviceWorker.register("/jack/worker.js");
    await navigator.storage?.persist?.();
  } catch {
    app.offline = "Keep this page open: the browser did not take what it needs to open it without the server. What is typed stays on the tablet all the same.";
  }
}

async function begin() {
  app.keep = await openKeep();
  app.tablet = await app.keep.get("tablet");
  if (!app.tablet) {
    app.tablet = identity();
    await app.keep.set("tablet", app.tablet);
  }
  app.entries = await app.keep.entries(app.place);
  app.standing = (await app.keep.get(`${app.place}\nstanding`)) ?? null;
  app.plans = (await app.keep.get(`${app.place}\nplans`)) ?? null;
  app.state = {
    by: app.person || ((await app.keep.get("by")) ?? ""), units: { load: first, gauge: first, dial: first },
    dials: 2, reference: false, sound: false, chosen: {},
    ...(await app.keep.get(`${app.place}\nstate`)),
  };
  if (app.person) app.state.by = app.person;
  meetOtherTabs();
  startSending(app);
  app.changed();
  setInterval(() => tick(app), 250);
  document.addEventListener("visibilitychange", stayLit);
  await stayLit();
  await keepOpen();
  app.changed();
}

begin();
