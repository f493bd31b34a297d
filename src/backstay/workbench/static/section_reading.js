// The diagrams beside the section, read at a depth: by the pointer over them, or with the keys of the mark at their edge.
const TITLES = 9; // mm that the titles of the diagrams take above the top of wall

export const reading = {
  hover(e) {
    const p = this.at(e), rows = this.shown.readings;
    if (e.pointerType === "touch" && !e.buttons) return;
    if (!rows.length || p.x < this.shown.split || p.y < rows[0][0] - 1 || p.y > rows[rows.length - 1][0] + 1) {
      if (document.activeElement !== this.reader) this.unread();
      return;
    }
    let k = 0;
    rows.forEach((row, i) => {
      if (Math.abs(row[0] - p.y) < Math.abs(rows[k][0] - p.y)) k = i;
    });
    this.live.row = k;
    this.readRow();
  },
  placeRead(top) {
    // above the titles of the diagrams where there is room, else below them: never over the curves
    const box = this.$refs.read, root = this.$refs.root.getBoundingClientRect();
    const matrix = this.$refs.over.getScreenCTM(), corner = new DOMPoint(this.shown.split, top).matrixTransform(matrix);
    box.hidden = false;
    const free = corner.y - root.top - TITLES * matrix.a;
    box.style.left = `${corner.x - root.left}px`;
    box.style.top = `${free >= box.offsetHeight ? free - box.offsetHeight : root.height}px`;
  },
  readRow() {
    const rows = this.shown.readings;
    if (!rows.length) return;
    const row = rows[Math.min(this.live.row, rows.length - 1)];
    this.rule.setAttribute("visibility", "visible");
    for (const [key, value] of [["x1", this.shown.wall], ["x2", this.shown.width], ["y1", row[0]], ["y2", row[0]]])
      this.rule.setAttribute(key, value);
    this.$refs.read.replaceChildren(
      ...row.slice(1).map((words, i) => {
        const line = document.createElement("div");
        if (!i) line.className = "value";
        line.textContent = words;
        return line;
      }),
    );
    this.placeRead(rows[0][0]);
    this.placeReader();
  },
  unread() {
    this.rule.setAttribute("visibility", "hidden");
    this.$refs.read.hidden = true;
  },
  placeReader() {
    const rows = this.shown.readings, k = Math.min(this.live.row, rows.length - 1);
    this.reader.setAttribute("visibility", rows.length ? "visible" : "hidden");
    if (k < 0) return;
    this.reader.setAttribute("transform", `translate(${this.shown.split} ${rows[k][0]})`);
    this.reader.setAttribute("aria-label", "Depth at which the diagrams are read");
    this.reader.setAttribute("aria-orientation", "vertical");
    this.reader.setAttribute("aria-valuemin", 0);
    this.reader.setAttribute("aria-valuemax", rows.length - 1);
    this.reader.setAttribute("aria-valuenow", k);
    this.reader.setAttribute("aria-valuetext", rows[k].slice(1).join("; "));
  },
  readKey(e) {
    const by = { ArrowUp: -1, ArrowDown: 1, PageUp: -10, PageDown: 10, Home: -1e6, End: 1e6 }[e.key];
    if (!by) return;
    e.preventDefault();
    this.live.row = Math.max(0, Math.min(this.shown.readings.length - 1, this.live.row + by));
    this.readRow();
  },
};
