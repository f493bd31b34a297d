// The grid of the schedule: where the focus is, the block that is marked, the editor in a cell.
// What is typed or pasted goes to the server as text; what it means is decided there.
(() => {
  "use strict";
  let at = null;      // {grid, row, column}: where the focus is, or was when the table was drawn again
  let from = null;    // the other corner of the marked block
  let editor = null;  // {input, cell, before}
  let free = false;   // Escape was pressed: Tab leaves the table
  let watched = null;

  const home = () => document.querySelector(".anchors-tables");
  const table = (key) => home()?.querySelector(`[data-grid="${key}"]`);
  const cell = (p) => table(p.grid)?.querySelector(`[data-row="${p.row}"][data-column="${p.column}"]`);
  const place = (td) => ({
    grid: td.closest("[data-grid]").dataset.grid, row: Number(td.dataset.row), column: Number(td.dataset.column),
  });
  const size = (key) => {
    const cells = [...(table(key)?.querySelectorAll("[data-row]") ?? [])];
    return {
      rows: 1 + Math.max(-1, ...cells.map((td) => Number(td.dataset.row))),
      columns: 1 + Math.max(-1, ...cells.map((td) => Number(td.dataset.column))),
    };
  };
  const send = (kind, p, text, to) =>
    home()?.dispatchEvent(new CustomEvent("gridedit", {
      detail: { kind, grid: p.grid, at: [p.row, p.column], to: to ? [to.row, to.column] : null, text },
    }));

  function block() {
    const other = from ?? at;
    return {
      top: Math.min(at.row, other.row), bottom: Math.max(at.row, other.row),
      left: Math.min(at.column, other.column), right: Math.max(at.column, other.column),
    };
  }
  function mark() {
    for (const td of home()?.querySelectorAll("[aria-selected]") ?? []) td.removeAttribute("aria-selected");
    if (!at || !from) return;
    const b = block();
    for (let row = b.top; row <= b.bottom; row++)
      for (let column = b.left; column <= b.right; column++)
        cell({ grid: at.grid, row, column })?.setAttribute("aria-selected", "true");
  }
  function goTo(p, marking) {
    const td = cell(p);
    if (!td) return;
    from = marking ? (from ?? at) : null;
    for (const one of table(p.grid).querySelectorAll('[role="gridcell"][tabindex="0"]')) one.tabIndex = -1;
    td.tabIndex = 0;
    at = p;
    td.focus();
    mark();
    send("at", p, null);
  }
  function move(rows, columns, marking) {
    const s = size(at.grid);
    goTo({
      grid: at.grid,
      row: Math.max(0, Math.min(s.rows - 1, at.row + rows)),
      column: Math.max(0, Math.min(s.columns - 1, at.column + columns)),
    }, marking);
  }
  // the next cell in reading order that can be edited, or null at the end
  function next(step) {
    const all = [...table(at.grid).querySelectorAll("[data-edit]")];
    const here = all.indexOf(cell(at));
    return all[here + step] ? place(all[here + step]) : null;
  }

  function edit(p, text) {
    const td = cell(p);
    if (!td || td.dataset.edit === undefined) return;
    const saved = [...td.childNodes];
    const input = document.createElement("input");
    input.type = "text";
    input.className = "anchors-editor";
    input.value = text ?? td.dataset.edit;
    input.setAttribute("aria-label", document.getElementById(td.getAttribute("headers"))?.textContent ?? "value");
    input.autocomplete = "off"; input.spellcheck = false;
    if (td.dataset.options) {
      const list = document.createElement("datalist");
      list.id = "anchors-options";
      for (const word of JSON.parse(td.dataset.options)) list.append(new Option(word, word));
      input.setAttribute("list", list.id);
      td.replaceChildren(input, list);
    } else td.replaceChildren(input);
    td.classList.add("editing");
    editor = { input, place: p, before: td.dataset.edit, td, saved };
    input.focus();
    if (text === undefined) input.select();
    // later: the table may be drawn again under the editor, which is no reason to take what is half typed
    input.addEventListener("blur", () => setTimeout(() => {
      if (editor?.input === input && input.isConnected && document.activeElement !== input) finish(true);
    }));
  }
  // end editing: what was typed stands in the cell until the server answers with the table drawn again
  function finish(take) {
    const { input, place: p, before, td, saved } = editor;
    const text = input.value;
    const changed = take && text !== before;
    editor = null;
    td.classList.remove("editing");
    if (changed) { td.textContent = text; send("type", p, text); }
    else td.replaceChildren(...saved);
  }

  function watch() {
    const now = home();
    if (!now || watched === now) return;
    watched = now;
    new MutationObserver((changes) => {
      const drawn = changes.some((c) => c.target === now || c.target.parentElement === now);
      if (!drawn || !at) return;
      if (editor && !editor.input.isConnected) {  // drawn again while someone types: go on typing
        const { place: p, input } = editor;
        editor = null;
        edit(p, input.value);
        return;
      }
      const lost = document.activeElement === document.body || document.activeElement === null;
      const td = cell(at) ?? [...now.querySelectorAll('[role="gridcell"]')].pop();
      if (!td) return;
      for (const one of td.closest("[data-grid]").querySelectorAll('[tabindex="0"]')) one.tabIndex = -1;
      td.tabIndex = 0;
      if (lost) td.focus();
      mark();
    }).observe(now, { childList: true, subtree: true });
  }

  document.addEventListener("focusin", (event) => {
    watch();
    const td = event.target.closest?.('.anchors-tables [role="gridcell"]');
    if (!td) { if (!event.target.closest?.(".anchors-tables")) from = null; return; }
    const p = place(td);
    if (!at || at.grid !== p.grid || at.row !== p.row || at.column !== p.column) {
      at = p; from = null; free = false; mark();
      send("at", p, null);
    }
  });
  document.addEventListener("dblclick", (event) => {
    const td = event.target.closest?.('.anchors-tables [role="gridcell"]');
    if (td && !editor) edit(place(td));
  });
  document.addEventListener("keydown", (event) => {
    const td = event.target.closest?.('.anchors-tables [role="gridcell"]');
    if (!td) return;
    const stop = () => event.preventDefault();
    if (editor) {
      const p = editor.place;
      if (event.key === "Enter") { stop(); finish(true); at = p; move(event.shiftKey ? -1 : 1, 0); }
      else if (event.key === "Tab") {
        stop(); finish(true); at = p;
        goTo(next(event.shiftKey ? -1 : 1) ?? p);
      } else if (event.key === "Escape") { stop(); event.stopPropagation(); finish(false); goTo(p); }
      return;
    }
    at = place(td);
    const held = event.ctrlKey || event.metaKey;
    const s = size(at.grid);
    const moves = {
      ArrowUp: [-1, 0], ArrowDown: [1, 0], ArrowLeft: [0, -1], ArrowRight: [0, 1],
      Home: [held ? -s.rows : 0, -s.columns], End: [held ? s.rows : 0, s.columns],
      PageUp: [-s.rows, 0], PageDown: [s.rows, 0],
    };
    if (moves[event.key]) {
      stop();
      const far = held && event.key.startsWith("Arrow") ? 1000 : 1;
      move(moves[event.key][0] * far, moves[event.key][1] * far, event.shiftKey);
    } else if (event.key === "Tab") {
      const to = free ? null : next(event.shiftKey ? -1 : 1);
      free = false;
      if (to) { stop(); goTo(to); }
    } else if (event.key === "Escape") { free = true; from = null; mark(); send("drop", at, null); }
    else if (event.key === "Enter" || event.key === "F2") { stop(); edit(at); }
    else if (event.key === "Delete" || event.key === "Backspace") {
      stop();
      const b = block();
      send("clear", { grid: at.grid, row: b.top, column: b.left }, "", { row: b.bottom, column: b.right });
    } else if (held && event.key.toLowerCase() === "a") {
      stop();
      goTo({ grid: at.grid, row: 0, column: 0 });
      goTo({ grid: at.grid, row: s.rows - 1, column: s.columns - 1 }, true);
    } else if (event.key.length === 1 && !held && !event.altKey) { stop(); edit(at, event.key); }
  });
  const inGrid = () => !editor && document.activeElement?.closest?.('.anchors-tables [role="gridcell"]');
  document.addEventListener("copy", (event) => {
    if (!inGrid()) return;
    const b = block();
    const lines = [];
    for (let row = b.top; row <= b.bottom; row++) {
      const cells = [];
      for (let column = b.left; column <= b.right; column++) cells.push(cell({ grid: at.grid, row, column })?.dataset.copy ?? "");
      lines.push(cells.join("\t"));
    }
    event.clipboardData.setData("text/plain", lines.join("\n"));
    event.preventDefault();
  });
  document.addEventListener("paste", (event) => {
    if (!inGrid()) return;
    event.preventDefault();
    const b = block();
    const text = event.clipboardData.getData("text/plain");
    if (text) send("paste", { grid: at.grid, row: b.top, column: b.left }, text);
  });
})();
