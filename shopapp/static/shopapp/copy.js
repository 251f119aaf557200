// Copies what a field holds; without scripts the field is marked and copied by hand.
(() => {
  for (const button of document.querySelectorAll("[data-copy]")) {
    const field = document.getElementById(button.dataset.copy);
    button.hidden = false;
    button.addEventListener("click", async () => {
      field.select();
      // Only over https does a browser offer the clipboard; the old way works everywhere.
      const done = navigator.clipboard
        ? await navigator.clipboard.writeText(field.value).then(() => true, () => false)
        : document.execCommand("copy");
      if (done) button.querySelector("span").textContent = button.dataset.copied;
    });
  }
})();
