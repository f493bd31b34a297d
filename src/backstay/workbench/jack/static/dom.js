// Elements made from plain text: whatever a person typed is never read as markup.
export function h(tag, attributes = {}, ...children) {
  const made = document.createElement(tag);
  for (const [key, value] of Object.entries(attributes)) {
    if (value === undefined || value === null || value === false) continue;
    if (key.startsWith("on")) made.addEventListener(key.slice(2), value);
    else if (key === "class") made.className = value;
    else made.setAttribute(key, value === true ? "" : String(value));
  }
  for (const child of children.flat()) {
    if (child === undefined || child === null || child === false || child === "") continue;
    made.append(child instanceof Node ? child : document.createTextNode(String(child)));
  }
  return made;
}

export const SVG = "http://www.w3.org/2000/svg";

export function s(tag, attributes = {}, ...children) {
  const made = document.createElementNS(SVG, tag);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, String(value));
  for (const child of children) made.append(child);
  return made;
}

// What a button does is done once, however often it is touched before it is done.
export function button(words, act, attributes = {}) {
  let busy = false;
  const once = async () => {
    if (busy) return;
    busy = true;
    try {
      await act();
    } finally {
      busy = false;
    }
  };
  return h("button", { type: "button", onclick: once, ...attributes }, words);
}

export const meta = (name) => document.querySelector(`meta[name="backstay-${name}"]`)?.content ?? "";

// An identity made on the tablet. randomUUID is not there on addresses that are not secure.
export function identity() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 0x0f) | 0x40;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = [...bytes].map((b) => b.toString(16).padStart(2, "0")).join("");
  return [8, 12, 16, 20, 32].map((end, i, ends) => hex.slice(i ? ends[i - 1] : 0, end)).join("-");
}

// A moment by the tablet's clock, with its offset, to the millisecond.
export function moment(ms) {
  const at = new Date(ms);
  const off = -at.getTimezoneOffset();
  const two = (n) => String(Math.floor(Math.abs(n))).padStart(2, "0");
  const local = new Date(ms + off * 60000).toISOString().slice(0, -1);
  return `${local}${off < 0 ? "-" : "+"}${two(off / 60)}:${two(off % 60)}`;
}

export function clockWords(ms) {
  const seconds = Math.max(0, Math.round(ms / 1000));
  return `${Math.floor(seconds / 60)}:${String(seconds % 60).padStart(2, "0")}`;
}
