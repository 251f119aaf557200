// A page that was cut off for longer than its ticket lasts asks for a new one.
// The stream's own retry then opens with it; who was signed out meanwhile sees the
// sign-in page and no old board.
(() => {
  const asking = new WeakSet();

  // Told that the shop has changed, a page asks only whether its own part has: what it
  // shows stays, with the focus in it, where the answer is "not modified".
  document.addEventListener("htmx:configRequest", (event) => {
    const part = event.target;
    const shown = part.hasAttribute("sse-connect") && part.querySelector("[data-etag]");
    if (shown) event.detail.headers["If-None-Match"] = `"${shown.dataset.etag}"`;
  });

  document.addEventListener("htmx:sseError", async (event) => {
    const part = event.target;
    const source = event.detail.source;
    if (!source || source.readyState !== EventSource.CLOSED || asking.has(part)) return;
    asking.add(part);
    try {
      const channel = part.getAttribute("sse-swap") === "floor" ? "floor" : "changed";
      const answer = await fetch(`/live/ticket/${channel}/`, { cache: "no-store" });
      if (answer.redirected) {
        location.reload();
      } else if (answer.ok) {
        const ticket = encodeURIComponent(await answer.text());
        part.setAttribute("sse-connect", `/live/?ticket=${ticket}`);
      }
    } catch {
      // No network: the stream tries again, and so do we at its next failure.
    } finally {
      asking.delete(part);
    }
  });
})();
