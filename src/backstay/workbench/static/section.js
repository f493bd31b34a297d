// The section on screen: the picture that the server drew, and handles on top of it.
// It turns places on the screen into places on the picture and shows what it is sent; it computes nothing else.
import { reading } from "/static/section_reading.js";

const NS = "http://www.w3.org/2000/svg";
const GLYPHS = {
  "up and down": "M0,-9 L4,-4 H1.4 V4 H4 L0,9 L-4,4 H-1.4 V-4 H-4 Z",
  "left and right": "M-9,0 L-4,-4 V-1.4 H4 V-4 L9,0 L4,4 V1.4 H-4 V4 Z",
  "along the tendon": "M-5,-5 H5 V5 H-5 Z",
  "around the head": "M-6,0 A6,6 0 1 1 6,0 A6,6 0 1 1 -6,0 Z",
  "any way": "M0,-8 L8,0 L0,8 L-8,0 Z",
};
const NEAR_MOUSE = 13, NEAR_TOUCH = 26, STILL = 3, IDLE = 700;

export default {
  props: { scene: Object, room: String },
  data() {
    return { wanted: "" }; // the room that the server was told of; `room`: that of the picture
  },
  template: `
    <div class="sec" ref="root" :data-room="room" :aria-busy="!wanted || wanted !== room">
      <div class="drawing sec-base"><svg ref="base" aria-hidden="true"></svg></div>
      <svg class="sec-over" ref="over" role="group"></svg>
      <div class="sec-read" ref="read" hidden></div>
      <div class="sec-tip" ref="tip" hidden role="status" aria-live="polite"></div>
      <form class="sec-type" ref="form" hidden>
        <label><span ref="asked"></span><input ref="input" autocomplete="off" spellcheck="false"></label>
        <div class="sec-why" ref="why" role="alert"></div>
      </form>
    </div>`,
  watch: {
    scene() {
      if (this.live.held) this.live.dirty = true;
      else {
        this.draw(this.scene);
        this.unrefuse();
      }
    },
  },
  created() {
    // held: the handle that is moved {id, by, at, from, want, moved}; busy: a question is on its way
    this.live = { held: null, busy: false, dirty: false, row: 0, room: null, typing: null, chosen: "", asked: 0 };
  },
  mounted() {
    const over = this.$refs.over;
    this.reader = this.make("g", { class: "sec-reader", tabindex: "0", role: "slider" });
    this.rule = this.make("line", { class: "sec-rule", visibility: "hidden" });
    this.handles = this.make("g", {});
    this.reader.append(this.make("path", { d: "M-1.6,-1.3 L0,0 L-1.6,1.3 Z" }));
    over.append(this.rule, this.reader, this.handles);
    const heard = {
      pointerdown: this.down, pointermove: this.move, pointerup: this.up, keydown: this.key,
      pointercancel: () => this.leave(), pointerleave: () => this.unread(),
      dblclick: (e) => this.nearest(e) && this.type(this.nearest(e).id),
      focusin: ({ target }) => target.dataset?.id && target.dataset.id !== this.live.chosen && this.choose(target.dataset.id),
      focusout: () => this.live.held?.by === "key" && this.keep(),
    };
    for (const [name, work] of Object.entries(heard)) over.addEventListener(name, work);
    this.$refs.form.addEventListener("submit", (e) => {
      e.preventDefault();
      this.ask("type", { id: this.live.typing, text: this.$refs.input.value });
    });
    this.$refs.input.addEventListener("keydown", (e) => {
      if (e.key === "Escape") this.untype(true);
    });
    this.escape = (e) => {
      if (e.key !== "Escape") return;
      if (this.live.held) this.leave();
      else this.$refs.tip.hidden = true;
    };
    window.addEventListener("keydown", this.escape);
    this.draw(this.scene);
    this.watcher = new ResizeObserver(() => this.measure());
    this.watcher.observe(this.$refs.root);
    window.addEventListener("resize", this.measure);
  },
  unmounted() {
    window.removeEventListener("keydown", this.escape);
    window.removeEventListener("resize", this.measure);
    this.watcher?.disconnect();
    for (const timer of [this.idle, this.measuring]) clearTimeout(timer);
  },
  methods: {
    ...reading,
    make(name, attributes) {
      const one = document.createElementNS(NS, name);
      for (const [key, value] of Object.entries(attributes)) one.setAttribute(key, value);
      return one;
    },
    measure() {
      clearTimeout(this.measuring);
      this.measuring = setTimeout(() => {
        const box = this.$refs.root.getBoundingClientRect();
        const room = { w: Math.round(box.width), h: Math.round(window.innerHeight - box.top - window.scrollY) };
        const last = this.live.room;
        if (box.width < 50 || (last && Math.abs(last.w - room.w) < 8 && Math.abs(last.h - room.h) < 24)) {
          this.scaleHandles();
          return;
        }
        this.live.room = room;
        this.wanted = `${room.w} ${room.h}`;
        this.$emit("room", room);
      }, 120);
    },
    // ---- what is shown
    draw(scene) {
      if (!scene) return;
      this.live.dirty = scene !== this.scene && this.live.dirty;
      const box = `0 ${-scene.above} ${scene.width} ${scene.height + scene.above}`;
      for (const one of [this.$refs.base, this.$refs.over]) one.setAttribute("viewBox", box);
      this.$refs.base.innerHTML = scene.base;
      this.$refs.over.setAttribute("aria-label", scene.label);
      this.shown = scene;
      this.placeHandles(scene.handles);
      this.placeReader();
      if (this.$refs.read.hidden) return;
      if (document.activeElement === this.reader && scene.readings.length) this.readRow();
      else this.unread();
    },
    placeHandles(list) {
      const there = new Map([...this.handles.children].map((one) => [one.dataset.id, one]));
      let before = null;
      for (const handle of list) {
        let one = there.get(handle.id);
        if (!one) {
          one = this.make("g", { tabindex: "0", role: "slider", "data-id": handle.id });
          one.append(this.make("title", {}), this.make("circle", { class: "hit", r: "22" }));
          one.append(this.make("path", { d: GLYPHS[handle.way] }));
        }
        there.delete(handle.id);
        one.setAttribute("class", `sec-handle${handle.note ? " open" : ""}${handle.id === this.live.chosen ? " chosen" : ""}`);
        one.setAttribute("aria-label", `${handle.label}, ${handle.way}`);
        one.setAttribute("aria-valuetext", handle.text);
        one.setAttribute("aria-valuenow", handle.now);
        one.setAttribute("aria-description", handle.note);
        one.firstChild.textContent = `${handle.label}: ${handle.text}${handle.note ? ` (${handle.note})` : ""}`;
        one.setAttribute("aria-orientation", handle.way === "up and down" ? "vertical" : "horizontal");
        one.x = handle.x;
        one.y = handle.y;
        // moving a node that has the focus takes it away: only what is new or out of order is moved
        const next = before ? before.nextSibling : this.handles.firstChild;
        if (one !== next) this.handles.insertBefore(one, next);
        before = one;
      }
      for (const gone of there.values()) gone.remove();
      this.scaleHandles();
    },
    scaleHandles() {
      const size = 1 / (this.$refs.over.getScreenCTM()?.a || 4);
      for (const one of this.handles.children)
        one.setAttribute("transform", `translate(${one.x} ${one.y}) scale(${size})`);
    },
    node(id) {
      return [...this.handles.children].find((one) => one.dataset.id === id);
    },
    handle(id) {
      return this.shown.handles.find((one) => one.id === id);
    },
    choose(id) {
      this.live.chosen = id;
      for (const one of this.handles.children) one.classList.toggle("chosen", one.dataset.id === id);
      this.$emit("choose", { id });
    },
    beside(box, x, y) {
      // puts a box of words beside a place of the picture, within the section
      const root = this.$refs.root.getBoundingClientRect();
      const at = new DOMPoint(x, y).matrixTransform(this.$refs.over.getScreenCTM());
      box.hidden = false;
      const left = at.x - root.left, top = at.y - root.top;
      const right = left + 18 + box.offsetWidth > root.width;
      box.style.left = `${Math.max(0, right ? left - 18 - box.offsetWidth : left + 18)}px`;
      box.style.top = `${Math.max(-8, Math.min(top + 14, root.height - box.offsetHeight + 24))}px`;
    },
    unrefuse() {
      // what was refused in a section that has changed since is no longer said of it
      const { tip, why, input } = this.$refs;
      if (tip.classList.contains("bad")) tip.hidden = true;
      if (!why.textContent) return;
      why.textContent = "";
      if (input.value === this.live.refused) input.value = this.handle(this.live.typing)?.text ?? "";
    },
    showTip(answer, x, y) {
      const tip = this.$refs.tip;
      tip.classList.toggle("bad", !!answer.bad);
      const lines = [];
      const add = (words, kind) => {
        const line = document.createElement("div");
        line.className = kind;
        line.textContent = words;
        lines.push(line);
      };
      if (answer.text) add(`${answer.label}: ${answer.text}`, "value");
      for (const words of answer.notes || []) add(words, "note");
      if (answer.bad) add(`✗ ${answer.bad}`, "why");
      tip.replaceChildren(...lines);
      this.beside(tip, x, y);
    },
    // ---- the pointer
    at(e) {
      const p = new DOMPoint(e.clientX, e.clientY).matrixTransform(this.$refs.over.getScreenCTM().inverse());
      return { x: p.x, y: p.y };
    },
    nearest(e) {
      const p = this.at(e), k = this.$refs.over.getScreenCTM().a;
      let best = null, least = e.pointerType === "touch" ? NEAR_TOUCH : NEAR_MOUSE;
      for (const one of this.shown.handles) {
        const far = Math.hypot(one.x - p.x, one.y - p.y) * k;
        if (far < least) [best, least] = [one, far];
      }
      return best;
    },
    down(e) {
      if (e.button || this.live.held?.by === "pointer") return;
      const handle = this.nearest(e);
      this.$refs.tip.hidden = true;
      this.untype(false);
      if (!handle) return;
      if (this.live.held) this.keep();
      e.preventDefault();
      this.$refs.over.setPointerCapture(e.pointerId);
      this.unread();
      this.live.held = { id: handle.id, by: "pointer", at: { x: handle.x, y: handle.y }, from: this.at(e), moved: false };
      this.node(handle.id)?.focus({ preventScroll: true });
    },
    move(e) {
      const held = this.live.held;
      if (held?.by !== "pointer") return this.hover(e);
      if (held.dropped) return;
      const p = this.at(e), k = this.$refs.over.getScreenCTM().a;
      const dx = p.x - held.from.x, dy = p.y - held.from.y;
      if (!held.moved && Math.hypot(dx, dy) * k < STILL) return;
      held.moved = true;
      held.want = { id: held.id, x: held.at.x + dx, y: held.at.y + dy, fine: e.shiftKey || e.altKey };
      this.pump();
    },
    up() {
      const held = this.live.held;
      if (held?.by !== "pointer" || held.dropped) return;
      if (!held.moved) return void (this.live.held = null);
      held.dropped = true;
      this.pump();
    },
    pump() {
      const held = this.live.held;
      if (!held || this.live.busy) return;
      if (held.dropped) this.ask("drop", held.want || held.last);
      if (held.dropped || !held.want) return;
      held.last = held.want;
      held.want = null;
      this.ask("drag", held.last);
    },
    ask(what, about) {
      this.live.busy = true;
      this.live.asked += 1;
      this.$emit(what, { ...about, n: this.live.asked });
    },
    // ---- answers of the server
    answer(answer) {
      if (answer.n !== this.live.asked) return; // of what was dropped since
      this.live.busy = false;
      const held = this.live.held;
      if (!held || held.id !== answer.id) return;
      this.draw(answer.scene || this.scene);
      const node = this.node(answer.id);
      node?.classList.toggle("bad", !!answer.bad);
      if (answer.bad && node && answer.at) {
        [node.x, node.y] = answer.at;
        this.scaleHandles();
      }
      if (node) this.showTip(answer, node.x, node.y);
      if (held.by === "pointer") {
        this.pump();
      } else this.pumpKeys();
    },
    settled(answer) {
      if (answer.n !== this.live.asked) return;
      this.live.busy = false;
      const was = this.live.held;
      this.live.held = null;
      if (this.live.typing && this.live.typing === answer.id) {
        if (answer.bad) {
          this.$refs.why.textContent = answer.bad;
          this.live.refused = this.$refs.input.value;
          return;
        }
        this.untype(true);
      }
      if (answer.bad || !answer.changed || this.live.dirty) this.draw(this.scene);
      const handle = this.handle(answer.id);
      this.node(answer.id)?.classList.remove("bad");
      if (answer.bad && handle) this.showTip(answer, handle.x, handle.y);
      else if (was) this.$refs.tip.hidden = true;
    },
    leave() {
      const held = this.live.held;
      if (!held) return;
      clearTimeout(this.idle);
      this.live.held = null;
      this.live.busy = false;
      this.$refs.tip.hidden = true;
      this.draw(this.scene);
      this.$emit("leave", { id: held.id });
    },
    // ---- the keyboard
    key(e) {
      if (e.target === this.reader) return this.readKey(e);
      const id = e.target.dataset?.id;
      if (!id || e.ctrlKey || e.metaKey) return;
      const way = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] }[e.key];
      if (e.key === "Enter") {
        e.preventDefault();
        this.type(id);
      }
      if (!way || this.live.held?.by === "pointer") return;
      e.preventDefault();
      if (!this.live.held) this.live.held = { id, by: "key", steps: [] };
      this.live.held.steps.push({ id, right: way[0], up: way[1], fine: e.shiftKey || e.altKey });
      this.pumpKeys();
    },
    pumpKeys() {
      const held = this.live.held;
      clearTimeout(this.idle);
      if (!held || this.live.busy) return;
      if (held.steps.length) this.ask("step", { id: held.id, steps: held.steps.splice(0) });
      else if (held.keep) this.ask("keep", { id: held.id });
      else this.idle = setTimeout(() => this.keep(), IDLE);
    },
    keep() {
      if (!this.live.held) return;
      this.live.held.keep = true;
      if (this.live.held.by === "key") this.pumpKeys();
    },
    type(id) {
      if (this.live.held) this.leave();
      const handle = this.handle(id);
      if (!handle) return;
      this.$refs.tip.hidden = true;
      this.live.typing = id;
      this.$refs.asked.textContent = handle.label;
      this.$refs.why.textContent = "";
      this.$refs.input.value = handle.text;
      this.beside(this.$refs.form, handle.x, handle.y);
      this.$refs.input.focus();
      this.$refs.input.select();
    },
    untype(back) {
      const id = this.live.typing;
      this.live.typing = null;
      this.$refs.form.hidden = true;
      if (back && id) this.node(id)?.focus({ preventScroll: true });
    },
  },
};
