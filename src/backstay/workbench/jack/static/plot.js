// Plots drawn from points that were sent: paper coordinates to the screen's, and nothing else.
import { s, h } from "./dom.js";

const WIDE = 440, HIGH = 250, LEFT = 58, RIGHT = 14, TOP = 12, FOOT = 42;
const DASH = { limit: "8 4", fit: "3 3" };

export function plot(data) {
  const picture = s("svg", { viewBox: `0 0 ${WIDE} ${HIGH}`, role: "img", "aria-label": spoken(data) });
  const x = (v) => LEFT + ((v - data.x.low) / (data.x.high - data.x.low || 1)) * (WIDE - LEFT - RIGHT);
  const y = (v) => HIGH - FOOT - ((v - data.y.low) / (data.y.high - data.y.low || 1)) * (HIGH - TOP - FOOT);
  for (const tick of data.y.ticks) {
    picture.append(line(LEFT, y(tick.at), WIDE - RIGHT, y(tick.at), "grid"), words(LEFT - 6, y(tick.at) + 4, tick.text, "end"));
  }
  for (const tick of data.x.ticks) {
    picture.append(line(x(tick.at), HIGH - FOOT, x(tick.at), HIGH - FOOT + 5, "axis"), words(x(tick.at), HIGH - FOOT + 18, tick.text, "middle"));
  }
  picture.append(line(LEFT, TOP, LEFT, HIGH - FOOT, "axis"), line(LEFT, HIGH - FOOT, WIDE - RIGHT, HIGH - FOOT, "axis"));
  picture.append(words((LEFT + WIDE - RIGHT) / 2, HIGH - 6, data.x.words, "middle"));
  for (const one of data.lines) draw(picture, one, x, y);
  const keys = data.lines.filter((l) => l.points.length).map((l) => h("li", { class: l.style }, l.words));
  return h("figure", {}, h("figcaption", {}, `${data.title}: ${data.y.words}`), picture, h("ul", { class: "key" }, keys), data.note && h("p", { class: "note" }, data.note));
}

function draw(picture, one, x, y) {
  const places = one.points.map(([a, b]) => [x(a), y(b)]);
  if (places.length > 1 && one.style !== "marks") {
    picture.append(s("polyline", { points: places.map((p) => p.map((v) => v.toFixed(1)).join(",")).join(" "), class: `line ${one.style}`, "stroke-dasharray": DASH[one.style] ?? "none" }));
  }
  if (one.style === "read") for (const [a, b] of places) picture.append(s("circle", { cx: a, cy: b, r: 3.5, class: "dot" }));
  if (one.style === "marks") for (const [a, b] of places) picture.append(s("rect", { x: a - 4, y: b - 4, width: 8, height: 8, class: "mark" }));
}

const line = (x1, y1, x2, y2, kind) => s("line", { x1, y1, x2, y2, class: kind });
const words = (x, y, text, anchor) => s("text", { x, y, "text-anchor": anchor }, document.createTextNode(text));
const spoken = (data) => `${data.title}. ${data.lines.map((l) => `${l.words}: ${l.points.length} points`).join(". ")}`;

// Without a server: what was typed, gauge against the first dial, neither corrected nor judged.
export function rawPlot(pairs, labels) {
  if (!pairs.length) return null;
  const axis = (values, text) => {
    const low = Math.min(...values), high = Math.max(...values);
    const room = (high - low || Math.abs(high) || 1) * 0.06;
    return { words: text, low: low - room, high: high + room, ticks: [low, high].map((at) => ({ at, text: String(at) })) };
  };
  return plot({
    title: "As typed, not corrected and not judged", note: "No connection: limits and corrected plots come when the server answers.",
    x: axis(pairs.map((p) => p[0]), labels.load), y: axis(pairs.map((p) => p[1]), `Dial 1 (${labels.dial})`),
    lines: [{ style: "read", points: pairs, words: "as typed" }],
  });
}
