// Adds the device's time to a form, shows that it is being sent, marks what is proposed.
(() => {
  const hidden = (form, name) => {
    let field = form.querySelector(`input[type=hidden][name=${name}]`);
    if (!field) {
      field = document.createElement("input");
      field.type = "hidden";
      field.name = name;
      form.append(field);
    }
    return field;
  };
  const post = (form) => form instanceof HTMLFormElement
    && (form.method === "post" || form.hasAttribute("hx-post"));

  // Capture, so that the time is in the form before htmx reads it. The first try's time
  // stays: it is when the work was done. The server corrects the clock by sent_at.
  document.addEventListener("submit", (event) => {
    const form = event.target;
    if (!post(form)) return;
    const now = String(Date.now());
    const doneAt = hidden(form, "done_at");
    if (!doneAt.value) doneAt.value = now;
    hidden(form, "sent_at").value = now;
    // Looks sent, stays pressable: the submission key makes a second press harmless.
    if (event.submitter) event.submitter.classList.add("is-sending");
  }, true);

  const still = (part) => {
    part.querySelectorAll(".is-sending").forEach((b) => b.classList.remove("is-sending"));
  };
  const forget = (part) => {
    part.querySelectorAll("input[name=done_at]").forEach((field) => { field.value = ""; });
  };
  document.addEventListener("htmx:afterRequest", (event) => {
    still(event.target);
    if (!event.detail.xhr?.status) return;
    // Answered, with yes or no: the next press is a new act with its own time.
    forget(event.target);
  });
  // Back from the browser's memory: nothing is on its way any more.
  addEventListener("pageshow", (event) => {
    still(document);
    if (event.persisted) forget(document);
  });

  // A field with a proposal in it is marked whole at the first tap: typing replaces it.
  let entered = null;
  document.addEventListener("focusin", (event) => {
    entered = event.target.matches("input[data-whole]") ? event.target : null;
    entered?.select();
  });
  document.addEventListener("click", (event) => {
    if (event.target === entered) entered.select();
    entered = null;
  });

  // What was pressed before a sign-in ran out goes on by itself after it.
  addEventListener("load", () => {
    document.querySelector("form[data-send-now]")?.requestSubmit();
  });
})();
