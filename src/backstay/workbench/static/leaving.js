// Asks before a page with changes that are not saved is left for anything but another panel of the
// same project; saves with Ctrl+S. Unsaved changes are kept, and offered when the project is opened again.
(() => {
  "use strict";
  let staying = false;

  addEventListener("click", (event) => {
    const link = event.target.closest?.("a[href]");
    staying = Boolean(link) && link.pathname === location.pathname && link.host === location.host;
  }, { capture: true });

  addEventListener("beforeunload", (event) => {
    if (!staying && document.querySelector("[data-unsaved='yes']")) event.preventDefault();
    staying = false;
  });

  addEventListener("keydown", (event) => {
    if (!(event.ctrlKey || event.metaKey) || event.altKey || event.key.toLowerCase() !== "s") return;
    event.preventDefault(); // the browser would save the page
    const save = document.querySelector("[data-saves]");
    if (!save) return;
    document.activeElement?.blur(); // what is being typed is taken first, and is on its way before the saving is
    setTimeout(() => save.dispatchEvent(new CustomEvent("saveasked")));
  });
})();
