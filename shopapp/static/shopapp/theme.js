// Light or dark by the reader's choice; without a choice the device decides.
(() => {
  const root = document.documentElement;
  const stored = () => {
    try { return localStorage.getItem("theme"); } catch { return null; }
  };
  const apply = (theme) => { if (theme) root.dataset.theme = theme; };
  apply(stored());
  document.addEventListener("DOMContentLoaded", () => {
    for (const button of document.querySelectorAll("[data-theme-switch]")) {
      button.hidden = false;
      button.addEventListener("click", () => {
        const dark = root.dataset.theme
          ? root.dataset.theme === "dark"
          : matchMedia("(prefers-color-scheme: dark)").matches;
        const theme = dark ? "light" : "dark";
        apply(theme);
        try { localStorage.setItem("theme", theme); } catch { /* private window */ }
      });
    }
  });
})();
