// Without a net: a bar at the bottom says so, and sends again what got no answer.
(() => {
  const PROBE_MS = 3000;
  const bar = document.getElementById("net-bar");
  if (!bar) return;
  const unsent = new Map(); // form -> the button that was pressed
  let away = false;
  let timer = 0;

  const show = () => {
    const state = unsent.size ? (away ? "unsent" : "back") : "away";
    bar.querySelectorAll("[data-when]").forEach((part) => {
      part.hidden = part.dataset.when !== state;
    });
    bar.querySelector("[data-send-again]").hidden = !unsent.size;
    bar.hidden = !away && !unsent.size;
    document.body.classList.toggle("has-net-bar", !bar.hidden);
  };

  const probe = async () => {
    try {
      const asked = { method: "GET", cache: "no-store", signal: AbortSignal.timeout(PROBE_MS) };
      away = !(await fetch("/healthz", asked)).ok;
    } catch {
      away = true;
    }
    clearTimeout(timer);
    if (away) timer = setTimeout(probe, PROBE_MS);
    show();
    return !away;
  };

  const keep = (form, button) => {
    unsent.set(form, button);
    away = true;
    show();
    void probe();
  };

  // A form that htmx sends: no answer came.
  const failed = (event) => {
    const form = event.target;
    if (form instanceof HTMLFormElement && event.detail.requestConfig?.verb === "post") {
      keep(form, event.detail.requestConfig.triggeringEvent?.submitter ?? null);
    } else {
      void probe();
    }
  };
  document.addEventListener("htmx:sendError", failed);
  document.addEventListener("htmx:timeout", failed);
  document.addEventListener("htmx:sseError", () => void probe());
  document.addEventListener("htmx:afterRequest", (event) => {
    if (!event.detail.xhr?.status) return;
    unsent.delete(event.target);
    if (away) void probe();
    show();
  });

  // A form that the browser sends by itself would leave this page for an error page.
  const cleared = new WeakSet();
  document.addEventListener("submit", async (event) => {
    const form = event.target;
    if (event.defaultPrevented || form.hasAttribute("hx-post") || form.method !== "post") return;
    if (cleared.delete(form)) return;
    event.preventDefault();
    const button = event.submitter;
    if (await probe()) {
      unsent.delete(form);
      cleared.add(form);
      form.requestSubmit(button);
    } else {
      button?.classList.remove("is-sending");
      keep(form, button);
    }
  });

  // A link would do the same, once it is known that nobody answers.
  document.addEventListener("click", async (event) => {
    const link = event.target.closest?.("a[href]");
    if (!link || event.defaultPrevented || event.button || event.ctrlKey || event.metaKey) return;
    if (link.origin !== location.origin || link.target || link.hash) return;
    if (!away && navigator.onLine) return;
    event.preventDefault();
    if (await probe()) location.assign(link.href);
  });

  const sendAgain = async () => {
    if (!(await probe())) return;
    for (const [form, button] of [...unsent]) {
      unsent.delete(form);
      if (!form.isConnected) {
        // The page has moved on under it; what was entered is still in it.
        form.hidden = true;
        ["hx-post", "hx-target", "hx-swap"].forEach((name) => form.removeAttribute(name));
        document.body.append(form);
      }
      form.requestSubmit(button?.form === form ? button : null);
      if (!form.hasAttribute("hx-post")) break; // the page is leaving
    }
    show();
  };
  bar.querySelector("[data-send-again]").addEventListener("click", sendAgain);
  addEventListener("offline", () => { away = true; show(); void probe(); });
  addEventListener("online", () => void probe());
  show();
})();
