// Keyboard of the list of checks: arrow keys go from row to row, Enter opens, Escape goes back, "/" finds.
(() => {
  "use strict";
  const list = () => document.querySelector(".checks-list");
  const rows = () => [...(list()?.querySelectorAll("[data-key]") ?? [])];
  let last = null; // the key of the row that had the focus, to find it again after the list was drawn
  let watched = null;
  let opening = false; // a check was asked for, and the server has not shown it yet

  function goTo(row) {
    if (!row) return;
    for (const one of rows()) one.tabIndex = -1;
    row.tabIndex = 0;
    row.focus();
    row.scrollIntoView({ block: "nearest" });
  }
  function watch() {
    const now = list();
    if (!now || watched === now) return;
    watched = now;
    new MutationObserver(() => {
      const lost = document.activeElement === document.body || document.activeElement === null;
      if (last !== null && lost) goTo(rows().find((row) => row.dataset.key === last));
    }).observe(now, { childList: true, subtree: true });
  }
  document.addEventListener("focusin", (event) => {
    watch();
    const row = event.target.closest?.(".checks-list [data-key]");
    last = row ? row.dataset.key : null;
  });
  document.addEventListener("keydown", (event) => {
    const typing = event.target.closest?.("input, textarea, select, [role='grid']");
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const row = event.target.closest?.(".checks-list [data-key]");
    if (row) {
      const all = rows();
      const at = all.indexOf(row);
      const next = { ArrowDown: at + 1, ArrowUp: at - 1, Home: 0, End: all.length - 1 }[event.key];
      if (next !== undefined) {
        event.preventDefault();
        goTo(all[Math.max(0, Math.min(all.length - 1, next))]);
      }
    }
    if (event.key === "/" && !typing) {
      const words = document.querySelector(".checks-words input");
      if (words) { event.preventDefault(); words.focus(); }
    }
    // wherever the focus is: it reaches the opened check only after the check is shown
    const elsewhere = (typing && !event.target.closest(".checks-one")) || document.querySelector(".q-menu, .q-dialog");
    if (event.key === "Escape" && !elsewhere && (opening || document.querySelector(".checks.opened"))) {
      document.querySelector(".checks-back button")?.click();
    }
  });
  document.addEventListener("click", (event) => {
    if (event.target.closest?.(".checks-list tr")?.querySelector("[data-key]")) opening = true;
  });
  window.backstayChecks = {
    opened() {
      opening = false;
      requestAnimationFrame(() => {
        const title = document.getElementById("check-title");
        if (!title) return;
        title.focus({ preventScroll: true });
        const one = document.querySelector(".checks-one");
        one.scrollTop = 0;
        if (getComputedStyle(one).overflowY !== "auto") title.scrollIntoView({ block: "nearest" });
      });
    },
    closed(key) {
      requestAnimationFrame(() => goTo(rows().find((row) => row.dataset.key === key) ?? rows()[0]));
    },
  };
})();
