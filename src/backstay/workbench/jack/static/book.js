// The readings as they stand (in the record, and kept here), and where in the test one is.
// Steps, minutes and what is allowed next come from the plan and from the judgement; where the server
// is away the steps of the plan are gone through in their order.

// entries: of this tablet; standing: as the server last told it, or null.
export function merged(entries, standing) {
  const begins = begunSince(entries, standing);
  const test = begins ? begins.test : standing?.test?.number;
  const last = begins ? 0 : standing?.last;
  const record = begins ? [] : (standing?.readings ?? []).map((r) => ({ ...r, kept: false }));
  const there = new Set(record.map((r) => r.id).filter(Boolean));
  const mine = entries.filter((e) => {
    if (e.payload.what !== "reading" || there.has(e.id)) return false;
    if (e.state === "kept") return true;
    return e.state === "stored" && test !== undefined && e.test === test && e.number > last;
  });
  return [...record, ...mine.map((e) => ({
    id: e.id, number: e.number ?? null, step: e.payload.step, again: e.payload.again ?? 0,
    minute: e.payload.minute, at: e.payload.at, typed: e.payload, kept: e.state === "kept", corrected: 0,
  }))];
}

export const pending = (entries) => entries.filter((e) => e.state === "kept");

// The beginning of a test that the standing does not tell of: kept here, or recorded after it was told.
const begunSince = (entries, standing) => entries.filter((e) => e.payload.what === "begin"
  && (e.state === "kept" || (e.state === "stored" && e.test > (standing?.test?.number ?? 0)))).at(-1);

// A number of a reading as typed or as recorded, in a system of units; empty where it is not at hand.
export function shownValue(reading, key, units, dial = 0) {
  if (reading.in) {
    const all = reading.in[units];
    return key === "dials" ? all.dials[dial] ?? "" : all[key];
  }
  const typed = key === "dials" ? reading.typed.dials[dial] : reading.typed[key];
  return typed && typed.units === units ? typed.text : "";
}

// What the load of a reading was read at: "gauge" or "load" (a load cell).
export const kindOf = (reading) => {
  const values = reading.in ? reading.in.SI : reading.typed;
  return values.load && !values.gauge ? "load" : "gauge";
};

// Whether the judgement that is at hand is of exactly these readings.
export function inStep(entries, standing, readings) {
  if (!standing?.test || pending(entries).length || begunSince(entries, standing)) return false;
  return (readings.at(-1)?.number ?? 0) <= standing.last;
}

function testNow(entries, standing) {
  const kept = pending(entries).map((e) => e.payload.what);
  const begun = kept.lastIndexOf("begin");
  const closes = kept.lastIndexOf("close");
  if (begun >= 0 && begun > closes) return "open";
  if (closes >= 0) return "closed";
  if (begunSince(entries, standing)) return "open";
  if (!standing?.test) return "none";
  return standing.test.open ? "open" : "closed";
}

// Where one is: {at: "begin" | "pump" | "hold" | "ask" | "verdict" | "after", step, again, due, ...}.
export function position(app) {
  const { entries, standing, state } = app;
  const test = testNow(entries, standing);
  if (test === "none" || (test === "closed" && state.another)) return { at: "begin" };
  const readings = merged(entries, standing);
  const plan = app.plan();
  if (test === "closed") return { at: "after" };
  if (!plan) return { at: "no plan" };
  const last = readings.at(-1);
  if (!last) return { at: "pump", step: 0, again: 0, last: null };
  const goto = state.goto;
  if (goto && goto.after === keyOf(last)) return { ...goto, at: "pump", last };
  const here = { step: last.step, again: last.again, last };
  const judged = inStep(entries, standing, readings);
  const next = judged ? standing.in[state.units.load].next[0] : null;
  if (judged) return byRules(next, here, plan, last);
  return byPlan(here, plan, last, state);
}

function byRules(next, here, plan, last) {
  const step = plan.steps[here.step];
  if (next?.action === "hold") {
    const minutes = [...step.minutes, ...step.extended];
    const due = minutes.filter((m) => m > last.minute + 0.05 && m <= next.until + 0.05);
    return { ...here, at: "hold", due: due.length ? due : [next.until], until: next.until };
  }
  if (next?.action === "go on") return { step: next.step, again: here.again, last, at: "pump" };
  if (next?.action === "pump back") return { step: next.step, again: here.again, last, at: "pump", anew: true };
  return { ...here, at: "verdict" };
}

function byPlan(here, plan, last, state) {
  const step = plan.steps[here.step];
  if (!step) return { ...here, at: "verdict" };
  const longer = state.longer === here.step ? step.extended : [];
  const due = [...step.minutes, ...longer].filter((m) => m > last.minute + 0.05);
  if (due.length) return { ...here, at: "hold", due, until: due.at(-1) };
  if (step.extended.length && step.extended.at(-1) > last.minute + 0.05) return { ...here, at: "ask" };
  if (here.step + 1 < plan.steps.length) return { step: here.step + 1, again: here.again, last, at: "pump" };
  return { ...here, at: "verdict" };
}

// The minute of a reading that was begun at a moment: the one it was due at, where it is on time.
export function minuteOf(elapsed, due, onTime, arrival, countsPumping) {
  if (arrival && !countsPumping) return 0;
  if (!arrival) {
    const near = due.find((m) => Math.abs(m - elapsed) <= onTime);
    if (near !== undefined) return near;
  }
  const tenth = Math.max(0, Math.round(elapsed * 10) / 10);
  return arrival && tenth < 0.1 ? 0 : tenth;
}

// The next minute to read at: those that have passed unread are missed, except the last.
export function nextDue(due, elapsed, onTime) {
  return due.find((m) => m >= elapsed - onTime) ?? due.at(-1);
}

const NUMBER = /^-?(\d+\.?\d*|\.\d+)$/;
export const isNumber = (text) => NUMBER.test(text);

// What is doubtful in a reading by the bounds of the plan, in words; for want of the server's own look.
export function doubts(app, where, fields) {
  const { units } = app.state;
  const plan = app.planIn(units.gauge);
  const found = [];
  const gauge = Number(fields.gauge);
  const bounds = plan.steps[where.step].doubt.gauge;
  if (fields.gauge !== undefined && bounds && (gauge < bounds[0] || gauge > bounds[1])) {
    const step = plan.steps[where.step];
    found.push(`The gauge reads ${fields.gauge} ${plan.labels.gauge}; the step asks for ${step.pressure}, within ${step.pressures}.`);
  }
  const first = merged(app.entries, app.standing)[0];
  if (!first) return found;
  const moves = app.planIn(units.dial);
  const [low, high] = moves.steps[where.step].doubt.moved;
  fields.dials.forEach((text, i) => {
    const zero = shownValue(first, "dials", units.dial, i);
    if (zero === "") return;
    const moved = Number(text) - Number(zero);
    if (moved < low || moved > high) {
      found.push(`Dial ${i + 1} reads ${text} ${moves.labels.dial}, and read ${zero} at the start: theory expects a stretch of ${moves.steps[where.step].stretch}.`);
    }
  });
  return found;
}

// What a reading is known by before and after it is in the record.
export const keyOf = (reading) => reading.id || `number ${reading.number}`;
