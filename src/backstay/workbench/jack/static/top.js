// What is in view all the time: which anchor, how far, what is kept, and the caution.
import { h, button } from "./dom.js";
import { pending } from "./book.js";
import { link } from "./send.js";

const CAUTION = "Nobody behind the jack, in line with the tendon or below the head while there is load on it.";
const CLOCK = 30 * 60000;
const counted = (n, one, many = `${one}s`) => `${n} ${n === 1 ? one : many}`;

export function showTop(app) {
  const plan = app.plan();
  const at = app.position();
  const where = [];
  if (app.standing?.test) where.push(`Test ${app.standing.test.number}`);
  if (app.plans?.plan) where.push(app.plans.plan.kind);
  if (plan && at.step !== undefined && ["pump", "hold", "ask"].includes(at.at)) {
    where.push(`step ${at.step + 1} of ${plan.steps.length}${at.again ? `, cycle run again (${at.again})` : ""}`);
  }
  set("where", where.join(" · "));
  set("kept", keptWords(app));
  set("link", connection(app));
  document.getElementById("line").className = pending(app.entries).length || link.state !== "answers" ? "waiting" : "";
  set("caution", CAUTION);
  const menu = document.getElementById("menu");
  const open = app.overlay?.name;
  const key = `${open}|${at.at}`;
  if (menu.dataset.key === key) return;
  menu.dataset.key = key;
  const item = (name, words) => button(words, () => app.show(open === name ? null : { name }), { "aria-pressed": open === name });
  menu.replaceChildren(item("readings", "Readings"), item("remark", "Remark"), item("settings", "Settings"),
    ...(["pump", "hold", "ask", "verdict"].includes(at.at) ? [item("stop", "Stop test")] : []));
}

function keptWords(app) {
  const waiting = pending(app.entries);
  const read = app.readings().filter((r) => !r.kept).length;
  const others = waiting.filter((e) => e.payload.what !== "reading").length;
  const kept = waiting.length - others;
  const parts = [];
  if (kept) parts.push(counted(kept, "reading"));
  if (others) parts.push(counted(others, kept ? "other entry" : "entry", kept ? "other entries" : "entries"));
  const said = waiting.length ? `${parts.join(" and ")} kept on this tablet, not yet in the record` : `${counted(read, "reading")} in the record`;
  return `${said}.`;
}

function connection(app) {
  const seconds = Math.max(0, Math.round((link.next - Date.now()) / 1000));
  const again = seconds > 0 ? `, trying again in ${seconds} s` : ", trying";
  return {
    asking: "Asking the server.", answers: "Connected.", away: `No connection${again}.`,
    "sign in": "Sign in again in another window; nothing is lost here.",
    "may not": "You may not record here; what is kept waits.",
    cannot: `The server cannot record now${again}: ${said(app, link.words)}`,
  }[link.state];
}

export function said(app, words) {
  return words && typeof words === "object" ? words[app.state.units.load] : words ?? "";
}

function set(id, words) {
  const element = document.getElementById(id);
  if (element.textContent !== words) element.textContent = words;
}

export function showNotices(app) {
  const made = [];
  if (app.broken) made.push(notice("stop", app.broken));
  if (!app.keep.where) made.push(notice("stop", "This browser keeps nothing: readings would be lost when the page closes. Write them on paper, or use another browser."));
  if (app.offline) made.push(notice("", app.offline));
  if (app.tabs) made.push(notice("", "This page is open in another window of this tablet too: close one of them."));
  if (Math.abs(app.off ?? 0) > CLOCK) {
    made.push(notice("stop", `The clock of this tablet is ${Math.round(Math.abs(app.off) / 60000)} minutes ${app.off > 0 ? "behind" : "ahead of"} that of the server: set it right, because every reading is recorded with its time.`));
  }
  for (const other of app.others) {
    made.push(notice("", `Another tablet is open on this anchor: ${other.by || "no name"}, heard ${other.seconds} s ago. One tablet records; the other looks on.`));
  }
  const refused = pending(app.entries).find((e) => e.refused);
  if (refused) made.push(refusal(app, refused));
  else if (app.state.elsewhere?.length) made.push(elsewhere(app));
  const place = document.getElementById("notices");
  const text = made.map((m) => m.textContent).join("|").replace(/heard \d+ s ago/g, "");
  if (place.dataset.text === text) return;
  place.dataset.text = text;
  place.replaceChildren(...made);
}

const notice = (kind, ...children) => h("div", { class: `notice ${kind}` }, ...children);

function refusal(app, entry) {
  const all = pending(app.entries);
  return notice("stop",
    h("p", {}, h("strong", {}, "The record refused this entry. "), named(entry), ": ", said(app, entry.refused), ". It is kept on this tablet, and what follows waits behind it."),
    button("Try again", () => app.tryAgain()),
    /exception/.test(said(app, entry.refused)) && button("State an exception", () => app.show({ name: "exception", entry })),
    button("Set it aside (stays here, not in the record)", () => app.setAside([entry])),
    all.length > 1 && button(`Set all ${all.length} aside`, () => app.setAside(all)));
}

function elsewhere(app) {
  const mine = pending(app.entries);
  return notice("stop",
    h("p", {}, h("strong", {}, "Another tablet or person recorded readings of this test: "),
      `number ${app.state.elsewhere.join(", ")}. Look at them under Readings. ${counted(mine.length, "entry", "entries")} of this tablet wait.`),
    button("Record mine after them", () => app.goOnAfterOthers()),
    button("Set mine aside (stay here, not in the record)", () => app.setAside(mine)));
}

function named(entry) {
  const p = entry.payload;
  if (p.what === "reading") return `Reading at step ${p.step + 1}, minute ${p.minute}`;
  return { begin: "Beginning of the test", correction: "Correction", close: "End of the test", "lock-off": "Lock-off", "lift-off": "Lift-off", remark: "Remark" }[p.what];
}
