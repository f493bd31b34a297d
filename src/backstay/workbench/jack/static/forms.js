// What is filled in now and then: the beginning, the lock-off and the lift-off, a correction, settings.
import { h, button } from "./dom.js";
import { form } from "./pad.js";
import { isNumber, kindOf, shownValue } from "./book.js";
import { title } from "./tasks.js";
import { said } from "./top.js";

const back = (app, words = "Back to the test") => button(words, () => app.show(null), { id: "back" });
const typed = (text, units) => (text ? { text, units } : undefined);

function pick(name, label, options, chosen, act) {
  return h("fieldset", { class: "pick" }, h("legend", {}, label), options.map(([value, words], i) =>
    h("label", {}, h("input", { type: "radio", id: `${name}-${i}`, name, value, checked: value === chosen, onchange: () => act(value) }), h("span", {}, words))));
}

function textField(id, label, value, act, more = {}) {
  return h("label", { class: "text", for: id }, h("span", {}, label), h("input", { id, value: value ?? "", autocomplete: "off", maxlength: 200, oninput: (e) => act(e.target.value), ...more }));
}

let asking = Promise.resolve(); // for the plan of what was chosen last
export function beginForm(app) {
  const choices = app.plans?.choices;
  if (!choices) return [title("Begin the test"), h("p", {}, "The plan of this anchor comes from the server, once; after that the test goes on without it. Waiting for the server.")];
  const { state } = app;
  const chosen = state.chosen;
  const plan = app.plans.plan;
  const again = (changes) => {
    const kept = app.set({ chosen: { ...state.chosen, ...changes } });
    asking = kept.then(() => app.askPlan());
    return asking;
  };
  const inUnits = chosen.jack_length ? chosen.units : state.units.load;
  const length = chosen.jack_length ?? choices.jack_length[inUnits];
  const jacks = choices.jacks.map((j) => [`${j.name}\n${j.certificate}`, `${j.name} with gauge ${j.gauge}, certificate ${j.certificate}, good to ${j.until}`]);
  const jack = plan ? `${plan.jack.name}\n${plan.jack.certificate}` : `${chosen.jack}\n${chosen.certificate}`;
  // What is chosen and typed counts as it stands when the button is touched: what was chosen last may
  // not have been answered yet, and the test begins by no other plan.
  const start = async () => {
    const by = (app.person || (app.name ?? state.by)).trim();
    if (!by) { document.getElementById("no-name").hidden = false; document.getElementById("by").focus(); return; }
    document.getElementById("no-plan").hidden = app.planChosen();
    await asking;
    const { plan } = app.plans;
    if (!plan || !app.planChosen()) return;
    const { jack_length: length = choices.jack_length[state.units.load], units = state.units.load } = state.chosen;
    await app.set({ by, hold: null, draft: null, goto: null, longer: null });
    await app.keep.set("by", by);
    await app.add("begin", { kind: plan.kind, jack: plan.jack.name, certificate: plan.jack.certificate, ...(length ? { jack_length: { text: length, units } } : {}) });
  };
  return [
    title("Begin the test"),
    pick("kind", "Test", choices.kinds.map((k) => [k, k === choices.planned ? `${k} (by the plan)` : k]), plan?.kind ?? chosen.kind ?? choices.planned, (kind) => again({ kind })),
    jacks.length ? pick("jack", "Jack in use", jacks, jack, (value) => { const [name, certificate] = value.split("\n"); again({ jack: name, certificate }); }) : h("p", {}, "No jack is recorded yet: enter it with its certificate in a field book."),
    h("div", { class: "row" },
      textField("jack-length", `Tendon in the jack (${choices.labels[inUnits].length})`, length, () => {}, { inputmode: "decimal", onchange: (e) => again({ jack_length: e.target.value.trim(), units: inUnits }) }),
      app.person ? h("p", {}, `Recorded by ${app.person}`) : textField("by", "Who reads", app.name ?? state.by, (name) => { app.name = name; }),
      pick("dials", "Dials", ["1", "2", "3", "4"].map((n) => [n, n]), String(state.dials), (n) => app.set({ dials: Number(n) })),
      h("p", { id: "no-name", class: "fault", role: "alert", hidden: true }, "Say who reads: every reading is recorded with a name."),
      h("p", { id: "no-plan", class: "fault", role: "alert", hidden: true }, "The plan of what is chosen has not come from the server yet.")),
    plan
      ? h("p", {}, `${plan.in[state.units.load].steps.length} steps to ${plan.in[state.units.load].test_load} (gauge ${plan.in[state.units.gauge].steps.find((s) => s.load === plan.in[state.units.gauge].test_load)?.pressure ?? ""}).`)
      : h("p", { class: "fault", role: "alert" }, said(app, app.plans.why)),
    plan && button("Begin the test", start, { class: "main", id: "begin" }),
  ].filter(Boolean);
}

export function settings(app) {
  const { units } = app.state;
  const change = async (key, value) => { await app.set({ units: { ...app.state.units, [key]: value } }); app.changed(); };
  return [
    title("Settings"),
    pick("units-gauge", "The gauge reads in", [["US", "psi"], ["SI", "bar"]], units.gauge, (v) => change("gauge", v)),
    pick("units-dial", "The dials read in", [["US", "in"], ["SI", "mm"]], units.dial, (v) => change("dial", v)),
    pick("units-load", "Loads and words in", [["US", "kip"], ["SI", "kN"]], units.load, (v) => change("load", v)),
    pick("sound", "When a reading is due", [["no", "buzz and words"], ["yes", "buzz, words and a sound"]], app.state.sound ? "yes" : "no", (v) => app.set({ sound: v === "yes" })),
    pick("cell", "The load is read at", [["no", "the gauge"], ["yes", "a load cell"]], app.state.cell ? "yes" : "no", (v) => app.set({ cell: v === "yes" })),
    pick("reference", "Movement of what carries the dials", [["no", "not read"], ["yes", "read at a reference"]], app.state.reference ? "yes" : "no", (v) => app.set({ reference: v === "yes" })),
    h("p", { class: "note" }, `Readings are kept on this tablet in ${app.keep.where || "nothing"}. ${app.state.by ? `Recorded by ${app.state.by}.` : ""}`),
    back(app),
  ];
}

export function readingsList(app) {
  const { units } = app.state;
  const readings = app.readings();
  const mine = (r) => (r.kept ? "kept here" : r.tablet === app.tablet ? "this tablet" : r.tablet ? "another tablet" : r.id ? "this tablet" : "field book");
  const aside = app.entries.filter((e) => e.state === "set aside");
  const row = (r) => {
    const dials = Array.from({ length: r.in ? r.in.SI.dials.length : r.typed.dials.length }, (_, i) => shownValue(r, "dials", units.dial, i) || `${r.typed?.dials[i].text} (${r.typed?.dials[i].units})`);
    return h("tr", {}, h("th", { scope: "row" }, r.number ?? "-"), h("td", {}, r.step === null ? "?" : r.step + 1), h("td", {}, r.minute),
      h("td", {}, shownLoad(r, units)), h("td", {}, dials.join("  ")),
      h("td", {}, r.remark ? [r.remark, h("br")] : "", mine(r), r.corrected ? `, corrected ${r.corrected} times`.replace("1 times", "once") : ""),
      h("td", {}, button("Correct", () => app.show({ name: "correct", number: r.number, id: r.id }), { "aria-label": `Correct reading ${r.number ?? ""} at step ${r.step + 1}, minute ${r.minute}` })));
  };
  const plan = app.plans?.plan;
  const cell = readings.some((r) => kindOf(r) === "load");
  const first = plan ? (cell ? `Load (${plan.in[units.load].labels.load})` : `Gauge (${plan.in[units.gauge].labels.gauge})`) : "Gauge";
  return [
    title("Readings"),
    readings.length
      ? h("div", { class: "scroll" }, h("table", { class: "list" },
        h("thead", {}, h("tr", {}, ["No", "Step", "Minute", first, `Dials (${plan?.in[units.dial].labels.dial ?? ""})`, "From", ""].map((w) => h("th", { scope: "col" }, w)))),
        h("tbody", {}, readings.map(row))))
      : h("p", {}, "No reading yet."),
    aside.length > 0 && h("details", {}, h("summary", {}, `${aside.length} set aside: on this tablet, not in the record`), h("pre", {}, aside.map((e) => JSON.stringify(e.payload)).join("\n"))),
    back(app),
  ];
}

function shownLoad(r, units) {
  const key = kindOf(r);
  return shownValue(r, key, units[key]) || `${r.typed?.[key].text ?? ""} (${r.typed?.[key].units ?? ""})`;
}

const REASONS = ["typed wrong", "dial misread", "gauge misread", "dials changed over"];

export function correctForm(app) {
  const { units } = app.state;
  const r = app.readings().find((one) => (app.overlay.id && one.id === app.overlay.id) || one.number === app.overlay.number);
  if (!r) return [title("This reading is no longer there"), back(app)];
  const count = r.in ? r.in.SI.dials.length : r.typed.dials.length;
  const labels = { gauge: app.planIn(units.gauge).labels.gauge, load: app.planIn(units.load).labels.load, dial: app.planIn(units.dial).labels.dial };
  const main = kindOf(r), mainUnits = units[main];
  const was = { [main]: shownValue(r, main, mainUnits), minute: String(r.minute) };
  for (let i = 0; i < count; i++) was[`dial${i + 1}`] = shownValue(r, "dials", units.dial, i);
  let reason = "", other = "";
  const which = r.kept || !r.number ? { of: r.id } : { number: r.number };
  const stated = () => (other.trim() || reason);
  const fault = h("p", { class: "fault", role: "alert", hidden: true });
  const refuse = (words) => { fault.textContent = words; fault.hidden = false; fault.scrollIntoView({ block: "nearest" }); };
  const save = async (values) => {
    if (!stated()) return refuse("Say why it is corrected.");
    const wrong = Object.keys(values).find((key) => !isNumber(values[key]));
    if (wrong) return made.error(wrong, "This is not a number.");
    if (Object.keys(was).every((key) => was[key] === values[key])) return refuse("Nothing is changed.");
    const dials = Array.from({ length: count }, (_, i) => `dial${i + 1}`);
    const moved = dials.some((key) => values[key] !== was[key]);
    await app.add("correction", {
      ...which, reason: stated(), ...(values.minute !== was.minute ? { minute: Number(values.minute) } : {}),
      ...(values[main] !== was[main] ? { [main]: typed(values[main], mainUnits) } : {}),
      ...(moved ? { dials: dials.map((key) => typed(values[key], units.dial)) } : {}),
    });
    return app.show({ name: "readings" });
  };
  const made = form([
    { key: main, label: main === "load" ? "Load cell" : "Gauge", unit: labels[main], value: was[main], before: was[main] },
    ...Array.from({ length: count }, (_, i) => ({ key: `dial${i + 1}`, label: `Dial ${i + 1}`, unit: labels.dial, value: was[`dial${i + 1}`], before: was[`dial${i + 1}`] })),
    { key: "minute", label: "Minute", unit: "min", value: was.minute, before: was.minute },
  ], { done: save, enter: "Correct it" });
  return [
    title(`Correct reading ${r.number ?? ""} (step ${r.step + 1}, minute ${r.minute})`),
    h("p", { class: "note" }, "Both stay in the record, with who and why."),
    pick("reason", "Why", REASONS.map((w) => [w, w]), "", (v) => { reason = v; }),
    textField("other", "or in words", "", (v) => { other = v; }),
    fault, made.element,
    h("div", { class: "actions" },
      button("It should not have been: withdraw it", async () => {
        if (!stated()) return refuse("Say why it is withdrawn.");
        await app.add("correction", { ...which, withdraw: true, reason: stated() });
        return app.show({ name: "readings" });
      }, { id: "withdraw" }),
      button("Back to the readings", () => app.show({ name: "readings" }))),
  ];
}

export function stopForm(app) {
  let why = "";
  const fault = h("p", { class: "fault", role: "alert", hidden: true }, "Say why it is stopped.");
  return [
    title("Stop the test before its end"),
    h("p", {}, "Let the load down slowly first. An incomplete test is never accepted."),
    textField("why", "Why it is stopped", "", (v) => { why = v; }), fault,
    button("Stop the test", async () => {
      if (!why.trim()) { fault.hidden = false; return; }
      await app.add("close", { ended: "stopped", why: why.trim() });
      app.show(null);
    }, { class: "main", id: "stop" }),
    back(app),
  ];
}

export function remarkForm(app) {
  let text = "", by = app.state.by;
  const fault = h("p", { class: "fault", role: "alert", hidden: true }, "Write the remark, and who makes it.");
  return [
    title("Remark on this anchor"),
    h("p", { class: "note" }, "It is recorded with your name and the time, and stays with the anchor."),
    textField("remark", "Remark", "", (v) => { text = v; }, { maxlength: 2000 }),
    !app.state.by && textField("by", "Who remarks it", "", (v) => { by = v; }), fault,
    button("Record the remark", async () => {
      if (!text.trim() || !by.trim()) { fault.hidden = false; return; }
      await app.set({ by: by.trim() });
      await app.add("remark", { text: text.trim() });
      app.show(null);
    }, { class: "main", id: "record-remark" }),
    back(app),
  ];
}

export function exceptionForm(app) {
  let why = "";
  const entry = app.overlay.entry;
  return [
    title("State an exception"),
    h("p", {}, said(app, entry.refused), "."),
    textField("why", "Why it is recorded all the same", "", (v) => { why = v; }),
    button("Record it with this reason", async () => {
      if (!why.trim()) return;
      const { id: _, at, by: __, what, ...fields } = entry.payload;
      await app.setAside([entry]);
      await app.add(what, { ...fields, exception: why.trim() }, Date.parse(at));
      app.show(null);
    }, { class: "main", id: "state" }),
    back(app),
  ];
}

function accepted(app) {
  const now = app.standing?.in?.[app.state.units.load];
  return now?.decision === "accepted" && !app.entries.some((e) => e.state === "kept" && !["lock-off", "remark"].includes(e.payload.what));
}

function unsigned(app) {
  const verdict = app.standing?.test?.verdict;
  return verdict ? null : h("p", { class: "note" }, "No signed verdict yet: the record takes a lock-off only with a stated exception.");
}

export function lockOffForm(app) {
  const { units } = app.state;
  const lock = app.plan().lock_off, gauge = app.planIn(units.gauge).lock_off;
  let head = "wedges", why = "";
  const made = form([
    { key: "gauge", label: "Gauge when locked", unit: app.planIn(units.gauge).labels.gauge },
    { key: "after", label: "Gauge after, if read", unit: app.planIn(units.gauge).labels.gauge, optional: true },
    { key: "seating", label: "Draw-in, if read", unit: app.planIn(units.dial).labels.dial, optional: true },
  ], {
    done: async (v) => {
      if (!isNumber(v.gauge)) return made.error("gauge", "This is not a number.");
      await app.add("lock-off", { gauge: typed(v.gauge, units.gauge), after: typed(v.after, units.gauge), seating: typed(v.seating, units.dial), head, exception: why.trim() });
      return app.show(null);
    },
  });
  return [
    title("Lock off"),
    ...(accepted(app)
      ? [h("p", { class: "aim" }, gauge.pressure || "pressure not known"),
        h("p", { class: "aim-load" }, `${lock.jacking ? `${lock.jacking} at the jack: ` : ""}${lock.load} is left in the tendon`),
        lock.remark && h("p", { class: "note" }, lock.remark)]
      : [h("p", { class: "fault", role: "alert" }, "This anchor is not accepted by what the record has: at which load it may be locked off, if at all, is for the engineer to say."),
        ...(app.standing?.in?.[units.load].next ?? []).filter((n) => n.action === "lower load").map((n) => h("p", {}, n.words, "."))]),
    unsigned(app),
    h("div", { class: "row" },
      pick("head", "Head", [["wedges", "wedges"], ["shims", "shims"], ["nut", "nut"]], head, (v) => { head = v; }),
      !app.standing?.test?.verdict && textField("why", "Exception", "", (v) => { why = v; })),
    made.element, back(app),
  ].filter(Boolean);
}

export function liftOffForm(app) {
  const { units } = app.state;
  const lock = app.plan().lock_off, gauge = app.planIn(units.gauge).lock_off;
  const made = form([{ key: "gauge", label: "Gauge when the head comes off", unit: app.planIn(units.gauge).labels.gauge }], {
    done: async (v) => {
      if (!isNumber(v.gauge)) return made.error("gauge", "This is not a number.");
      await app.add("lift-off", { gauge: typed(v.gauge, units.gauge) });
      return app.show(null);
    },
  });
  return [
    title("Lift off"),
    h("p", { class: "aim-load" }, `The lift-off load must lie between ${lock.least_load} and ${lock.greatest_load} (gauge ${gauge.least} to ${gauge.greatest}).`),
    made.element, back(app),
  ];
}
