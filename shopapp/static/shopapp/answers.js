// What comes back is said where the finger is, and the page does not jump under it.
(() => {
  const words = () => document.getElementById("said-words").dataset;
  const wordsFor = (xhr, form) => {
    const kept = xhr.responseURL && new URL(xhr.responseURL).pathname
      !== new URL(form.action, location.href).pathname;
    if (kept) return words().kept;
    if (xhr.status === 403) return words().stale;
    if (xhr.status === 404) return words().gone;
    if (xhr.status === 413) return words().large;
    if (xhr.status === 429 || xhr.status === 503) return words().busy;
    if (xhr.status >= 500) {
      const at = new Date().toLocaleTimeString([], { hour: "2-digit", minute: "2-digit" });
      return `${words().broke} ${at}`;
    }
    return words().other;
  };
  const forget = (form) => form.querySelectorAll(":scope .said-here").forEach((b) => b.remove());
  const say = (form, sentence) => {
    forget(form);
    const said = document.getElementById("said-here").content.cloneNode(true).firstElementChild;
    said.querySelector("p").textContent = sentence;
    const link = said.querySelector("a");
    link.setAttribute("href", location.pathname + location.search);
    form.append(said);
    return said;
  };

  document.addEventListener("htmx:beforeRequest", (event) => {
    if (event.target instanceof HTMLFormElement) forget(event.target);
  });
  document.addEventListener("htmx:responseError", (event) => {
    const form = event.detail.elt?.closest?.("form") ?? event.target;
    if (form instanceof HTMLFormElement) say(form, wordsFor(event.detail.xhr, form));
  });

  // The pressed form stays where it was on the screen while the page around it changes.
  let pressed = null;
  document.addEventListener("htmx:beforeSwap", (event) => {
    const form = event.detail.requestConfig?.elt;
    if (!(form instanceof HTMLFormElement)) return;
    const action = form.getAttribute("action");
    pressed = { action, top: form.getBoundingClientRect().top, status: event.detail.xhr.status };
  });
  document.addEventListener("htmx:afterSettle", () => {
    if (!pressed) return;
    const { action, top, status } = pressed;
    pressed = null;
    const form = document.querySelector(`form[action="${CSS.escape(action).replaceAll("\\/", "/")}"]`)
      ?? [...document.forms].find((f) => f.getAttribute("action") === action);
    if (!form) return;
    for (let part = form.parentElement; part; part = part.parentElement) {
      if (status === 422 && part instanceof HTMLDetailsElement) part.open = true;
    }
    window.scrollBy(0, form.getBoundingClientRect().top - top);
    if (status === 422) near(form);
  });

  const near = (form) => {
    const refusal = document.querySelector("main .banner.is-stop[role=alert]");
    if (!refusal || form.contains(refusal)) return;
    const place = refusal.getBoundingClientRect();
    if (place.top >= 0 && place.bottom <= innerHeight) return;
    const copy = say(form, refusal.textContent.trim().replace(/\s+/g, " "));
    copy.querySelector("a").remove();
  };

  // A whole page that came back: to the first field that is marked.
  addEventListener("load", () => {
    if (!document.querySelector("main .banner.is-stop[role=alert]")) return;
    const field = document.querySelector("main [aria-invalid=true], main .has-error");
    if (!field) return;
    const place = field.getBoundingClientRect();
    if (place.top < 0 || place.bottom > innerHeight) field.scrollIntoView({ block: "center" });
  });
})();
