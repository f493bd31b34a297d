// Beside the task: how the test stands in words, and the plots.
import { h } from "./dom.js";
import { inStep, merged, shownValue } from "./book.js";
import { plot, rawPlot } from "./plot.js";

const WORDS = {
  accepted: "Accepted", "not accepted": "Not accepted", "hold on": "Hold on", "go on": "Go on",
  "cannot be judged": "Cannot be judged",
};

export function showBeside(app) {
  const { units } = app.state;
  const readings = merged(app.entries, app.standing);
  const judged = inStep(app.entries, app.standing, readings);
  const key = JSON.stringify([units, judged, readings.length, readings.map((r) => [r.number, r.corrected, r.kept]), app.standing?.in?.[units.load]?.reason, app.standing?.in?.[units.load]?.lift_off?.reason, app.plans?.of]);
  const place = document.getElementById("beside");
  if (place.dataset.key === key) return;
  place.dataset.key = key;
  showVerdict(app, readings, judged);
  showPlots(app, readings, judged);
}

export function verdict(app, judged) {
  const now = app.standing.in[app.state.units.load];
  const stale = judged ? "" : "Of the readings in the record; those kept on this tablet are not in it yet.";
  return [
    h("p", { class: `decision ${now.decision.replaceAll(" ", "-")}` }, WORDS[now.decision]),
    stale && h("p", { class: "note" }, stale),
    now.lift_off && h("p", { class: "reason" }, h("strong", {}, "Lift-off: "), now.lift_off.reason),
    h("p", { class: "reason" }, now.reason),
    now.findings.length > 0 && h("ul", { class: "findings" }, now.findings.map((f) =>
      h("li", { class: f.stop ? "stop" : "" }, f.words, f.readings.length ? ` (reading ${f.readings.join(", ")})` : "", `: ${f.effect}.`))),
    now.checks.length > 0 && h("table", { class: "checks" },
      h("thead", {}, h("tr", {}, ["Criterion", "Found", "Limit", ""].map((w) => h("th", { scope: "col" }, w)))),
      h("tbody", {}, now.checks.map((c) => h("tr", { class: c.verdict },
        h("th", { scope: "row" }, c.name, h("small", {}, c.clause)), h("td", {}, c.found), h("td", {}, c.limit),
        h("td", { class: "mark" }, c.verdict === "pass" ? "✓ met" : "✗ failed"))))),
    now.waiting.length > 0 && h("ul", { class: "waiting" }, now.waiting.map((w) => h("li", {}, `${w.state === "not known" ? "Not known" : "Waits"}: ${w.words}.`))),
  ].filter(Boolean);
}

function showVerdict(app, readings, judged) {
  const place = document.getElementById("verdict");
  const heading = h("h2", {}, "How the test stands");
  if (!app.standing?.test || !app.standing.in) {
    place.replaceChildren(heading, h("p", {}, readings.length ? "Not judged yet: the server has not seen the readings." : "No reading yet."));
    return;
  }
  place.replaceChildren(heading, ...verdict(app, judged));
}

function showPlots(app, readings, judged) {
  const place = document.getElementById("plots");
  const made = [];
  if (!judged && readings.some((r) => r.kept) && app.plans?.plan) {
    const { units } = app.state;
    const pairs = readings
      .map((r) => [shownValue(r, "gauge", units.gauge), shownValue(r, "dials", units.dial)])
      .filter(([a, b]) => a !== "" && b !== "").map(([a, b]) => [Number(a), Number(b)]);
    made.push(rawPlot(pairs, { gauge: app.planIn(units.gauge).labels.gauge, dial: app.planIn(units.dial).labels.dial }));
  } else if (app.standing?.in) {
    made.push(...app.standing.in[app.state.units.load].plots.filter((p) => p.lines.length).map(plot));
  }
  place.replaceChildren(...made.filter(Boolean));
}
