// <time class="countdown" datetime="…Z">14:20</time>: the time stays, what is left is added.
(() => {
  const meta = document.querySelector("meta[name=server-time]");
  const entry = performance.getEntriesByType("navigation")[0];
  // A page from the browser's store carries an old server time: trust the device then.
  const fresh = meta && entry && entry.transferSize > 0;
  const offset = fresh ? Number(meta.content) * 1000 - Date.now() : 0;

  const left = (ms) => {
    const minutes = Math.ceil(ms / 60000);
    if (ms <= 0) return null;
    if (minutes < 10) {
      const seconds = Math.ceil(ms / 1000);
      return `${Math.floor(seconds / 60)}:${String(seconds % 60).padStart(2, "0")} min`;
    }
    if (minutes < 60) return `${minutes} min`;
    const hours = Math.floor(minutes / 60);
    return hours < 48
      ? `${hours} h ${String(minutes % 60).padStart(2, "0")} min`
      : `${Math.floor(hours / 24)} d ${hours % 24} h`;
  };
  const tick = () => {
    for (const time of document.querySelectorAll("time.countdown")) {
      time.dataset.said ??= time.textContent;
      const rest = left(Date.parse(time.dateTime) - Date.now() - offset);
      time.classList.toggle("is-over", rest === null);
      const text = rest === null ? time.dataset.said : `${time.dataset.said} (${rest})`;
      if (time.textContent !== text) time.textContent = text;
    }
  };
  tick();
  setInterval(tick, 1000);
})();
