// Leads to the sign-in page once the session has ended, so that nothing stays on the screen of a
// tablet that was left behind, and keeps the token of the page (which a server that starts again
// has made anew). Asking does not count as an action. Without a network nothing happens.
(() => {
  "use strict";
  const every = 10_000; // ms
  let asking = false;

  async function ask() {
    if (asking || document.hidden) return;
    asking = true;
    try {
      const answer = await fetch("/who-am-i", {
        headers: { Accept: "application/json" },
        cache: "no-store",
      });
      if (answer.status === 401) {
        const here = location.pathname + location.search;
        location.replace("/sign-in?next=" + encodeURIComponent(here));
      } else if (answer.ok) {
        const meta = document.querySelector('meta[name="backstay-token"]');
        if (meta) meta.content = (await answer.json()).token;
      }
    } catch {
      // The server is out of reach; the page says so itself.
    } finally {
      asking = false;
    }
  }

  setInterval(ask, every);
  for (const event of ["focus", "online", "pageshow"]) addEventListener(event, ask);
  document.addEventListener("visibilitychange", ask);
})();
