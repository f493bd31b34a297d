// The one task at hand: pump, wait, read, or look at the verdict.
import { h, button, clockWords } from "./dom.js";
import { inStep, keyOf, nextDue } from "./book.js";
import { readForm, watchReading } from "./reading.js";
import { beginForm, lockOffForm, liftOffForm, settings, readingsList, correctForm, stopForm, remarkForm, exceptionForm } from "./forms.js";
import { criteria, decision, remarks, sinceLockOff, steps } from "./beside.js";

const OVERLAYS = { settings, readings: readingsList, correct: correctForm, stop: stopForm, remark: remarkForm, exception: exceptionForm, "lock-off": lockOffForm, "lift-off": liftOffForm };
let alarm = { key: "", said: new Set() };

// The task is drawn anew only when it is another one, so that what is being typed is not disturbed.
export function showTask(app) {
  const place = document.getElementById("task");
  const at = app.position();
  const now = stage(app, at);
  if (place.dataset.key === now.key) { now.update?.(); return; }
  const other = place.dataset.kind !== now.kind;
  const held = !other && place.contains(document.activeElement) ? document.activeElement.id : "";
  place.dataset.key = now.key;
  place.dataset.kind = now.kind;
  place.className = now.kind;
  place.replaceChildren(...now.make().filter(Boolean));
  if (other && !place.contains(document.activeElement)) place.focus({ preventScroll: true });
  if (held) document.getElementById(held)?.focus({ preventScroll: true });
  if (other) scrollTo(0, 0);
}

const holdOf = (app, at) => {
  const hold = app.state.hold;
  return hold && hold.step === at.step && hold.again === at.again ? hold : null;
};
const lastKey = (at) => (at.last ? keyOf(at.last) : "first");

function stage(app, at) {
  const { units } = app.state;
  const shown = `${units.load}${units.gauge}${units.dial}`;
  if (app.overlay) {
    const key = JSON.stringify([app.overlay.name, app.overlay.number, app.overlay.entry?.id, shown, app.overlay.name === "readings" ? app.readings().map((r) => [r.number, r.kept, r.corrected]) : ""]);
    return { kind: `overlay ${app.overlay.name}`, key, make: () => OVERLAYS[app.overlay.name](app) };
  }
  if (at.at === "begin") return { kind: "begin", key: `begin${shown}${app.plans ? JSON.stringify([app.plans.plan?.kind, app.plans.plan?.jack, app.plans.why, app.plans.choices]) : ""}`, make: () => beginForm(app) };
  if (at.at === "no plan") return { kind: "none", key: "none", make: () => [title("The plan of this test is not on this tablet yet"), h("p", {}, "It comes when the server answers. Do not begin without it.")] };
  if (at.at === "pump") {
    const hold = holdOf(app, at);
    const fresh = hold && hold.after === lastKey(at);
    if (fresh && hold.arrived) return reading(app, at, hold, true, shown);
    return { kind: "pump", key: `pump${at.step}/${at.again}/${fresh ? 1 : 0}/${at.anew}/${shown}/${app.planDrawn}`, make: () => pump(app, at, fresh ? hold : null) };
  }
  if (at.at === "hold") {
    const hold = holdOf(app, at) ?? { start: Date.parse(at.last.at) - at.last.minute * 60000, step: at.step, again: at.again };
    const elapsed = (Date.now() - hold.start) / 60000;
    const due = nextDue(at.due, elapsed, app.plans.plan.on_time);
    if (elapsed >= due - 0.5 / 60 || app.state.draft?.after === lastKey(at) || app.readNow === lastKey(at)) return reading(app, at, hold, false, shown);
    return { kind: "hold", key: `hold${at.step}/${at.again}/${lastKey(at)}/${due}/${shown}`, make: () => holding(app, at, hold, due) };
  }
  const judged = inStep(app.entries, app.standing, app.readings());
  const signature = JSON.stringify([at.at, judged, app.standing?.in?.[units.load]?.reason, app.standing?.test?.verdict, app.standing?.state, app.standing?.in?.[units.load]?.lift_off?.reason, app.standing?.in?.[units.load]?.since, app.standing?.remarks?.length, shown]);
  if (at.at === "ask") return { kind: "ask", key: signature, make: () => unjudged(app, at) };
  return { kind: "result", key: signature, make: () => result(app, at, judged) };
}

function reading(app, at, hold, arrival, shown) {
  const key = `read${at.step}/${at.again}/${lastKey(at)}/${arrival}/${shown}/${app.state.dials}/${app.state.reference}/${app.state.cell}`;
  return { kind: "read", key, make: () => readForm(app, at, hold, arrival, lastKey(at)) };
}

export const title = (words) => h("h2", { id: "task-title" }, words);

function pump(app, at, hold) {
  const plan = app.plan();
  const step = plan.steps[at.step];
  const gauge = app.planIn(app.state.units.gauge).steps[at.step];
  const start = (arrived) => async () => {
    const now = Date.now();
    await app.set({
      hold: { step: at.step, again: at.again, start: hold?.start ?? now, arrived, after: lastKey(at) },
      draft: null, longer: null,
    });
    app.changed();
  };
  const locked = step.keeps === "locked";
  const what = locked ? "Lock the head off at" : at.anew ? "Bring the load back up to" : step.up ? "Bring the load up to" : "Let the load down to";
  const waiting = step.counts_pumping && !hold;
  return [
    title(what),
    h("p", { class: "aim", id: "aim" }, gauge.pressure || "pressure not known"),
    h("p", { class: "aim-load" }, locked ? `${step.jacking ? `${step.jacking} at the jack: ` : ""}${step.load} is left in the tendon` : `${step.load} · ${step.share} of the design load`),
    h("dl", { class: "facts" },
      h("div", {}, h("dt", {}, locked ? "Load left between" : "Gauge between"), h("dd", {}, gauge.pressures)),
      h("div", {}, h("dt", {}, "Never more than"), h("dd", {}, [plan.never.load, app.planIn(app.state.units.gauge).never.pressure].filter(Boolean).join(" · "))),
      step.up && h("div", {}, h("dt", {}, "Stretch by theory"), h("dd", {}, app.planIn(app.state.units.dial).steps[at.step].stretch)),
      step.pumping && h("div", {}, h("dt", {}, "Pump within"), h("dd", {}, `${step.pumping} min`)),
      h("div", {}, h("dt", {}, locked ? "Read for" : "Hold"), h("dd", {}, step.hold ? `${step.hold} min` : step.most ? `read, at most ${step.most} min` : "read, then go on"))),
    hold && h("p", { class: "clock", role: "timer", id: "clock" }, "0:00"),
    waiting
      ? button("Pumping starts: start the clock", start(false), { class: "main", id: "pumping" })
      : button(locked ? "Locked off: read the load that is left" : step.counts_pumping || step.hold ? "Load reached: read" : "Load reached: read dials and gauge", start(true), { class: "main", id: "reached" }),
    waiting && h("p", { class: "note" }, "By these rules the time of this hold counts from when pumping leaves the load before."),
    h("details", { class: "cautions", open: at.step === 0 && !at.again }, h("summary", {}, "Cautions for stressing"), h("ul", {}, plan.cautions.map((c) => h("li", {}, c)))),
  ];
}

function holding(app, at, hold, due) {
  const step = app.plan().steps[at.step];
  const gauge = app.planIn(app.state.units.gauge).steps[at.step];
  const elapsed = (Date.now() - hold.start) / 60000;
  const missed = at.due.filter((m) => m < elapsed - app.plans.plan.on_time && m < due);
  return [
    title(step.keeps === "locked" ? "Locked off: the load is read" : step.keeps === "length" ? `Keep the ram still: ${gauge.pressure}` : `Hold ${gauge.pressure}`),
    h("p", { class: "aim-load" }, `${step.load} · to minute ${at.until} · ${step.keeps === "load" ? "pump back whenever the load falls" : "nobody pumps"}`),
    h("p", { class: "note" }, `Read next at minute ${due}`),
    h("p", { class: "countdown", role: "timer", id: "countdown", "data-due": hold.start + due * 60000 }, clockWords(hold.start + due * 60000 - Date.now())),
    h("p", { class: "clock" }, "Held for ", h("span", { id: "clock" }, clockWords(Date.now() - hold.start))),
    missed.length > 0 && h("p", { class: "note" }, `Minute ${missed.join(", ")} was not read.`),
    button("Read now", () => { app.readNow = lastKey(at); app.changed(); }, { class: "main", id: "read-now" }),
  ];
}

function unjudged(app, at) {
  const step = app.plan().steps[at.step];
  const after = app.plan().steps[at.step + 1];
  return [
    title("The hold is over and not judged yet: no connection"),
    h("p", {}, "The tablet keeps the readings and judges nothing. The limits of this test:"),
    h("ul", {}, app.plan().limits.map((l) => h("li", {}, l.words))),
    h("p", {}, "The safe way is to hold on. The engineer decides."),
    button(`Hold on to minute ${step.extended.at(-1)}`, async () => { await app.set({ longer: at.step }); app.changed(); }, { class: "main", id: "hold-on" }),
    after && button(`Go on to step ${at.step + 2} (${after.load})`, () => goTo(app, at, at.step + 1, at.again), { id: "go-on" }),
    button("Ask the server now", () => app.send()),
  ];
}

async function goTo(app, at, step, again) {
  await app.set({ goto: { step, again, after: keyOf(at.last) }, hold: null, draft: null });
  app.changed();
}

function result(app, at, judged) {
  const now = app.standing?.in?.[app.state.units.load];
  const open = at.at !== "after";
  const plan = app.plan();
  const made = [title(!open ? "The test is over" : stepsLeft(at, plan) ? `Judged at step ${at.step + 1}` : "The steps of the test are read")];
  const signed = app.standing?.test?.verdict;
  if (!judged || !now) made.push(h("p", {}, "Not judged yet: the server has not seen every reading. What is kept here is sent when it answers. Leave jack and load as they are until the verdict is there, or ask the engineer."));
  if (now) made.push(...decision(app, judged));
  if (!open && signed) made.push(h("p", {}, h("strong", {}, `Signed verdict: ${signed}.`), app.standing.test.stale ? " Something it rests on was corrected since: it is to be signed anew." : ""));
  if (judged && now?.next.length) {
    made.push(h("h3", {}, "What the rules allow next"), steps(now.next));
  }
  made.push(h("div", { class: "actions" }, ...actions(app, at, open, judged ? now : null, plan)), h("p", { class: "note" }, "The tool advises; the engineer of record decides."));
  if (now) made.push(...sinceLockOff(now), ...criteria(now));
  made.push(...remarks(app));
  return made;
}

const stepsLeft = (at, plan) => Boolean(plan) && at.step + 1 < plan.steps.length;

function actions(app, at, open, now, plan) {
  const made = [];
  const again = now?.next.find((n) => n.action === "run the cycle again");
  const stop = now?.next.some((n) => n.action === "stop");
  if (open && again) made.push(button("Run the cycle again", () => goTo(app, at, app.plans.plan.first_rise, at.again + 1)));
  const left = open && stepsLeft(at, plan);
  if (open && !left) made.push(button("The test is over: close it", () => close(app), { class: "main", id: "close" }));
  if (left && !stop) {
    const next = plan.steps[at.step + 1];
    const words = next.up ? `Go on to step ${at.step + 2} (${next.load}) all the same` : `Let the load down to step ${at.step + 2} (${next.load}) and read`;
    made.push(button(words, () => goTo(app, at, at.step + 1, at.again), { id: "all-the-same", class: next.up ? "" : "main" }));
  }
  if (!open) {
    const locked = app.standing?.locked_off;
    const allowed = now?.decision === "accepted" && !locked;
    made.push(button(locked ? "Lock off again" : allowed ? "Lock off" : "Record a lock-off", () => app.show({ name: "lock-off" }), { class: allowed ? "main" : "", id: "lock-off" }));
    if (locked) made.push(button("Lift off", () => app.show({ name: "lift-off" }), { class: "main", id: "lift-off" }));
    made.push(button("Begin another test of this anchor", async () => { await app.set({ another: true }); await app.askPlan(); app.changed(); }));
  }
  return made;
}

async function close(app) {
  await app.add("close", { ended: "complete" });
  app.say("The test is closed.");
}

// Called several times a second: clocks, and the words and the buzz when a reading is due.
export function tick(app) {
  const place = document.getElementById("task");
  const count = document.getElementById("countdown");
  const at = place.dataset.kind === "hold" || place.dataset.kind === "pump" || place.dataset.kind === "read" ? app.position() : null;
  if (at?.step !== undefined) {
    const hold = holdOf(app, at);
    const clock = document.getElementById("clock");
    if (hold && clock) clock.textContent = clockWords(Date.now() - hold.start);
  }
  if (count) {
    const left = Number(count.dataset.due) - Date.now();
    count.textContent = clockWords(left);
    remind(app, place.dataset.key, left);
    if (left <= 500) app.changed();
  }
  if (place.dataset.kind === "read") watchReading(app);
  if (document.getElementById("line").className === "waiting") app.changed();
}

function remind(app, key, left) {
  if (alarm.key !== key) alarm = { key, said: new Set() };
  for (const [seconds, words] of [[30, "30 seconds to the next reading"], [10, "10 seconds to the next reading"], [0.6, "Read now"]]) {
    if (left > seconds * 1000 || alarm.said.has(seconds)) continue;
    alarm.said.add(seconds);
    app.say(words);
    if (seconds < 1) signal(app);
  }
}

function signal(app) {
  navigator.vibrate?.([300, 150, 300]);
  if (!app.state.sound) return;
  app.audio ??= new AudioContext();
  const tone = app.audio.createOscillator();
  tone.frequency.value = 880;
  tone.connect(app.audio.destination);
  tone.start();
  tone.stop(app.audio.currentTime + 0.4);
}
