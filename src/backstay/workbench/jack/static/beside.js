// Beside the task: how the test stands in words, and the plots.
import { h } from "./dom.js";
import { inStep, kindOf, merged, shownValue } from "./book.js";
import { plot, rawPlot } from "./plot.js";

const WORDS = {
  accepted: "Accepted", "not accepted": "Not accepted", "hold on": "Hold on", "go on": "Go on",
  "cannot be judged": "Cannot be judged",
};

export function showBeside(app) {
  const { units } = app.state;
  const readings = merged(app.entries, app.standing);
  const judged = inStep(app.entries, app.standing, readings);
  const at = app.position();
  const result = ["verdict", "after"].includes(at.at) && !app.overlay;
  document.getElementById("verdict").hidden = result;
  const key = JSON.stringify([at.at === "begin" && app.plans?.plan?.kind, units, judged, readings.length, readings.map((r) => [r.number, r.corrected, r.kept]), app.standing?.in?.[units.load]?.reason, app.standing?.in?.[units.load]?.lift_off?.reason, app.standing?.in?.[units.load]?.since, app.standing?.remarks?.length, app.plans?.of]);
  const place = document.getElementById("beside");
  if (place.dataset.key === key) return;
  place.dataset.key = key;
  showVerdict(app, at, readings, judged);
  showPlots(app, readings, judged);
}

// The decision with its reason and what was found.
export function decision(app, judged) {
  const now = app.standing.in[app.state.units.load];
  return [
    h("p", { class: `decision ${now.decision.replaceAll(" ", "-")}` }, WORDS[now.decision], now.load ? " by its test" : ""),
    now.load && h("p", { class: "decision not-accepted load-standing" }, now.load[0].toUpperCase() + now.load.slice(1)),
    !judged && h("p", { class: "note" }, "Of the readings in the record; those kept on this tablet are not in it yet."),
    now.lift_off && h("p", { class: "reason" }, h("strong", {}, now.lift_off.before ? "Lift-off, before the load that was read last: " : "Lift-off: "), now.lift_off.reason),
    h("p", { class: "reason" }, `${now.reason}.`),
    now.findings.length > 0 && h("ul", { class: "findings" }, now.findings.map((f) =>
      h("li", { class: f.stop ? "stop" : "" }, f.words, f.readings.length ? ` (reading ${f.readings.join(", ")})` : "", `: ${f.effect}.`))),
  ].filter(Boolean);
}

// Every criterion with what was found, its limit and its clause; then what is still waited for.
export function criteria(now) {
  const waits = [...new Set(now.waiting.map((w) => `${w.state === "not known" ? "Not known" : "Waits"}: ${w.words}.`))];
  return [
    now.checks.length > 0 && checkTable(now.checks),
    waits.length > 0 && h("ul", { class: "waiting" }, waits.map((w) => h("li", {}, w))),
  ].filter(Boolean);
}

const MET = { pass: "✓ met", fail: "✗ failed" };
const checkTable = (checks) => h("table", { class: "checks" },
  h("thead", {}, h("tr", {}, ["Criterion", "Found", "Limit", "Verdict"].map((w) => h("th", { scope: "col" }, w)))),
  h("tbody", {}, checks.map((c) => h("tr", { class: c.verdict },
    h("th", { scope: "row" }, c.name, h("small", {}, c.clause)), h("td", {}, c.found), h("td", {}, c.limit),
    h("td", { class: "met" }, MET[c.verdict] ?? "○ to be seen")))));

// What seating left and how the load stood with time, held against what was wanted.
export function sinceLockOff(now) {
  const since = now.since;
  if (!since) return [];
  return [h("section", { class: "since", "aria-label": "Since the lock-off" },
    h("h3", {}, since.sound ? "Since the lock-off" : "✗ Since the lock-off"),
    h("ul", { class: "findings" }, since.words.map((w) => h("li", {}, w, ".")), since.fails.map((w) => h("li", { class: "stop" }, w, "."))),
    since.checks.length > 0 && checkTable(since.checks),
    since.next.length > 0 && h("h3", {}, "What the rules allow for its load"), since.next.length > 0 && steps(since.next))];
}

export const steps = (list) => h("ul", { class: "next" }, list.map((n) =>
  h("li", {}, n.words, n.pressure ? ` (gauge ${n.pressure})` : "", ". ", h("small", {}, n.clause))));

// What people remarked on the anchor.
export function remarks(app) {
  const said = app.standing?.remarks ?? [];
  if (!said.length) return [];
  return [h("section", { class: "remarks", "aria-label": "Remarks" }, h("h3", {}, "Remarks"),
    h("ul", { class: "waiting" }, said.map((r) => h("li", {}, r.text, " ", h("small", {}, `${r.by}, ${r.at.slice(0, 16).replace("T", " ")}`)))))];
}

function showVerdict(app, at, readings, judged) {
  const place = document.getElementById("verdict");
  const heading = h("h2", {}, "How the test stands");
  const cautions = app.plan()?.cautions;
  if (at.at === "begin" && cautions) {
    place.replaceChildren(h("h2", {}, "Cautions for stressing"), h("ul", { class: "waiting" }, cautions.map((c) => h("li", {}, c))));
    return;
  }
  if (!app.standing?.test || !app.standing.in) {
    place.replaceChildren(heading, h("p", {}, readings.length ? "Not judged yet: the server has not seen the readings." : "No reading yet."));
    return;
  }
  if (!judged && app.standing.test.open) {
    place.replaceChildren(heading, h("p", { class: "decision unjudged" }, "Not judged now"),
      h("p", {}, "The server has not seen the readings that are kept on this tablet. The steps shown are those of the plan, in their order."));
    return;
  }
  const now = app.standing.in[app.state.units.load];
  const failed = now.checks.some((c) => c.verdict === "fail");
  const met = now.checks.filter((c) => c.verdict === "pass").length;
  const summary = `Criteria: ${met} met, ${now.checks.length - met} failed, ${now.waiting.length} open`;
  place.replaceChildren(heading, ...decision(app, judged),
    h("details", { class: "cautions", open: failed }, h("summary", {}, summary), ...criteria(now)), ...sinceLockOff(now), ...remarks(app));
}

function showPlots(app, readings, judged) {
  const place = document.getElementById("plots");
  const made = [];
  if (!judged && readings.some((r) => r.kept) && app.plans?.plan) {
    const { units } = app.state;
    const pairs = readings
      .map((r) => [shownValue(r, kindOf(r), units[kindOf(r)]), shownValue(r, "dials", units.dial)])
      .filter(([a, b]) => a !== "" && b !== "").map(([a, b]) => [Number(a), Number(b)]);
    const key = kindOf(readings[0]);
    made.push(rawPlot(pairs, { load: `${key === "load" ? "Load cell" : "Gauge"} (${app.planIn(units[key]).labels[key]})`, dial: app.planIn(units.dial).labels.dial }));
  } else if (app.standing?.in) {
    // creep first while the load is held at the load that is judged
    const plots = app.standing.in[app.state.units.load].plots.filter((p) => p.lines.some((l) => l.style === "read" && l.points.length));
    const holds = ["hold", "ask"].includes(app.position().at);
    made.push(...(holds ? plots.reverse() : plots).map(plot));
  }
  place.replaceChildren(...made.filter(Boolean));
}
