// Typing with gloves: large fields, and a number pad of our own. A keyboard does the same.
import { h, button } from "./dom.js";

const KEYS = ["7", "8", "9", "4", "5", "6", "1", "2", "3", "±", "0", "."];

// fields: [{key, label, unit, value, optional, before}]; changed(values) at every key; done(values), once:
// until it has ended nothing is typed over what is being taken, and it is not taken again.
export function form(fields, { changed, done, enter = "Enter ↵" }) {
  const inputs = fields.map((f, i) => h("input", {
    id: `field-${f.key}`, class: "digits", inputmode: "none", autocomplete: "off", "aria-describedby": `about-${f.key}`,
    maxlength: 12, value: f.value ?? "", "data-key": f.key, onfocus: () => { at = i; mark(); }, onclick: () => inputs[i].select(),
    oninput: () => { clean(inputs[i]); told(); }, onkeydown: (event) => typed(event, i),
  }));
  let at = Math.max(0, fields.findIndex((f) => !f.value && !f.optional));
  const values = () => Object.fromEntries(inputs.map((input) => [input.dataset.key, input.value.trim()]));
  const told = () => changed?.(values());
  const mark = () => {
    inputs.forEach((input, i) => input.parentElement.classList.toggle("now", i === at));
    entering.textContent = at + 1 < inputs.length ? "Next ↓" : enter;
  };
  const go = (i) => { at = i; inputs[i].focus({ preventScroll: false }); inputs[i].select(); mark(); };

  let busy = false;
  async function take() {
    busy = true;
    inputs.forEach((input) => { input.readOnly = true; });
    try {
      await done(values());
    } finally {
      busy = false;
      inputs.forEach((input) => { input.readOnly = false; });
    }
  }

  function typed(event, i) {
    if (event.key === "Enter") { event.preventDefault(); forward(); }
    if (event.key === "ArrowDown" && i + 1 < inputs.length) { event.preventDefault(); go(i + 1); }
    if (event.key === "ArrowUp" && i > 0) { event.preventDefault(); go(i - 1); }
  }

  function forward() {
    if (busy) return;
    const empty = (i) => !inputs[i].value.trim() && !fields[i].optional;
    if (empty(at)) { go(at); return; }
    if (at + 1 < inputs.length) { go(at + 1); return; }
    const missing = inputs.findIndex((_, i) => empty(i));
    if (missing >= 0) { go(missing); return; }
    take();
  }

  function press(key) {
    if (busy) return;
    const input = inputs[at];
    const chosen = input.selectionStart === 0 && input.selectionEnd === input.value.length && input.value !== "";
    let text = chosen && key !== "±" && key !== "⌫" ? "" : input.value;
    if (key === "⌫") text = chosen ? "" : text.slice(0, -1);
    else if (key === "±") text = text.startsWith("-") ? text.slice(1) : `-${text}`;
    else if (text.length < 12) text += key;
    input.value = text;
    clean(input);
    input.focus();
    input.setSelectionRange(input.value.length, input.value.length);
    told();
  }

  const entering = button(enter, forward, { "data-pad": "enter", class: "enter" });
  const pad = h("div", { class: "pad", role: "group", "aria-label": "Number pad" },
    KEYS.map((key) => button(key, () => press(key), { "aria-label": key === "±" ? "change of sign" : key === "." ? "point" : key, "data-pad": key })),
    button("⌫", () => press("⌫"), { "aria-label": "delete", "data-pad": "delete", class: "wide-1" }),
    entering);
  const rows = fields.map((f, i) => h("label", { for: `field-${f.key}`, class: "field" },
    h("span", { class: "name" }, f.label), inputs[i], h("span", { class: "unit", id: `about-${f.key}` }, f.unit, f.before ? h("small", {}, ` before: ${f.before}`) : "")));
  const element = h("div", { class: "typing" }, h("div", { class: "fields" }, rows), pad);
  queueMicrotask(() => go(at));
  return { element, values, first: () => go(0), error: (key, words) => fault(element, key, words) };
}

// Only what a number can have: digits, one point, a sign in front.
function clean(input) {
  const sign = input.value.trim().startsWith("-") ? "-" : "";
  const [whole, ...rest] = input.value.replace(",", ".").replace(/[^\d.]/g, "").split(".");
  const kept = sign + whole + (rest.length ? `.${rest.join("")}` : "");
  if (kept !== input.value) input.value = kept;
}

function fault(element, key, words) {
  element.querySelectorAll(".fault").forEach((e) => e.remove());
  const input = element.querySelector(`#field-${key}`);
  input?.setAttribute("aria-invalid", "true");
  input?.parentElement.after(h("p", { class: "fault", role: "alert" }, words));
}
