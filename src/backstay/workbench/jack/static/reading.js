// Typing one reading: gauge and dials, a look at it before it is taken, and then it is kept.
import { h, button, clockWords } from "./dom.js";
import { doubts, isNumber, minuteOf, nextDue, pending, shownValue } from "./book.js";
import { form } from "./pad.js";
import { title } from "./tasks.js";
import { ask, link, parcel } from "./send.js";

const LOOK = 2500;
const MOST = 3;

export function readForm(app, at, hold, arrival, after) {
  const { units } = app.state;
  const readings = app.readings();
  const dials = readings.length ? dialsOf(readings[0]) : app.state.dials;
  const last = readings.at(-1);
  const main = app.state.cell ? "load" : "gauge";
  const labels = { load: app.plan().labels.load, gauge: app.planIn(units.gauge).labels.gauge, dial: app.planIn(units.dial).labels.dial };
  const draft = app.state.draft?.after === after && app.state.draft.arrival === arrival ? app.state.draft : null;
  const before = (key, unit, i) => (last ? shownValue(last, key, unit, i) : "");
  const fields = [
    { key: main, label: main === "load" ? "Load cell" : "Gauge", unit: labels[main], before: before(main, units[main]) },
    ...Array.from({ length: dials }, (_, i) => ({ key: `dial${i + 1}`, label: dials > 1 ? `Dial ${i + 1}` : "Dial", unit: labels.dial, before: before("dials", units.dial, i) })),
    ...(app.state.reference ? [{ key: "reference", label: "Reference", unit: labels.dial, optional: true, before: before("reference", units.dial) }] : []),
  ].map((f) => ({ ...f, value: draft?.values[f.key] }));
  let begun = draft?.at ?? null;
  const made = form(fields, {
    changed: (values) => {
      begun ??= Date.now();
      document.getElementById("doubts")?.replaceChildren(); // they are of what was typed before
      app.set({ draft: { after, arrival, at: begun, values } });
    },
    done: (values) => take(app, made, { at, hold, arrival, after, values, main, begun: begun ?? Date.now(), dials, plan: app.plans.plan }),
  });
  made.element.append(h("div", { id: "doubts" }));
  const step = app.planIn(units.gauge).steps[at.step];
  const due = arrival ? 0 : nextDue(at.due, (Date.now() - hold.start) / 60000, app.plans.plan.on_time);
  return [
    title(arrival ? (step.keeps === "locked" ? "Read the load that is left" : `Read at ${step.pressure}`) : `Read now: minute ${due}`),
    h("p", { class: "aim-load" }, `${app.plan().steps[at.step].load} · gauge between ${step.pressures} · held for `, h("span", { id: "clock", role: "timer", "data-start": hold.start }, clockWords(Date.now() - hold.start))),
    made.element,
    arrival && button("Not there yet: back to pumping", async () => { await app.set({ hold: step.counts_pumping ? { ...hold, arrived: false } : null, draft: null }); app.changed(); }),
    !arrival && !draft && Date.now() < hold.start + (due - 0.02) * 60000 && button("Back to the timer", () => { app.readNow = null; app.changed(); }),
  ];
}

const dialsOf = (reading) => (reading.in ? reading.in.SI.dials.length : reading.typed.dials.length);

export function watchReading() {
  const clock = document.getElementById("clock");
  if (clock?.dataset.start) clock.textContent = clockWords(Date.now() - Number(clock.dataset.start));
}

async function take(app, made, read) {
  const { units } = app.state;
  const { values, at, hold, arrival, plan, main } = read;
  const keys = [main, ...Array.from({ length: read.dials }, (_, i) => `dial${i + 1}`)];
  const wrong = [...keys, ...(values.reference ? ["reference"] : [])].find((key) => !isNumber(values[key]));
  if (wrong) { made.error(wrong, "This is not a number."); return; }
  const dials = keys.slice(1).map((key) => values[key]);
  const step = plan.in[units.gauge].steps[at.step];
  const elapsed = (read.begun - hold.start) / 60000;
  const minute = minuteOf(elapsed, at.due ?? [], plan.on_time, arrival, step.counts_pumping);
  const fields = {
    step: at.step, again: at.again, arrival, minute, [main]: { text: values[main], units: units[main] },
    dials: dials.map((text) => ({ text, units: units.dial })),
    ...(values.reference ? { reference: { text: values.reference, units: units.dial } } : {}),
  };
  const moment = arrival && !step.counts_pumping ? hold.start : read.begun;
  const found = [...doubts(app, at, { gauge: values.gauge, dials }), ...(await look(app, fields, moment))];
  if (!found.length) { await keep(app, fields, moment); return; }
  const place = document.getElementById("doubts");
  place.replaceChildren(h("div", { class: "notice stop", role: "alertdialog", "aria-label": "Look again" },
    h("p", {}, h("strong", {}, "Look again before this is taken.")),
    h("ul", {}, [...new Set(found)].slice(0, MOST).map((w) => h("li", {}, w)), found.length > MOST && h("li", {}, `and ${found.length - MOST} more`)),
    button("Change it", () => { place.replaceChildren(); made.first(); }, { class: "main", id: "change" }),
    button("It reads so: take it", () => keep(app, fields, moment), { id: "take" })));
  place.scrollIntoView({ block: "nearest" });
  document.getElementById("change").focus();
}

// What the judgement would find in it; nothing where the server does not answer at once.
async function look(app, fields, at) {
  if (link.state !== "answers") return [];
  const waiting = pending(app.entries).filter((e) => e.payload.what === "reading").map((e) => e.payload);
  if (pending(app.entries).length !== waiting.length) return [];
  const candidate = { id: app.tablet, what: "reading", at: new Date(at).toISOString(), by: app.state.by, ...fields };
  const { status, json } = await ask("/api/jack/look", { body: parcel(app, [...waiting, candidate]), patience: LOOK });
  if (status !== 200) return [];
  return json.in[app.state.units.load].filter((f) => f.code !== "no national limit").map((f) => `${f.words}: ${f.effect}.`);
}

let keeping = false;
async function keep(app, fields, at) {
  if (keeping) return;
  keeping = true;
  try {
    await app.add("reading", fields, at);
    app.readNow = null;
    await app.set({ draft: null });
    app.say(`Kept: minute ${fields.minute}, ${(fields.gauge ?? fields.load).text}`);
  } finally {
    keeping = false;
  }
  app.changed();
}
