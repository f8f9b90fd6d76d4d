// <form data-once>: one sending per form, however often the button is pressed.
// The hidden field `once` (128 random bits) lets the server know a repeat; the template renders
// it (macro once()), and this adds it where it is missing. While a sending is under way further
// ones are dropped. When the page comes back from the browser's history the form may be used again,
// with a new key. A sending that got no answer keeps its key, so that trying again is the same entry.
const LONGEST_MS = 20_000;

export function freshKey() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
}

function keyField(form) {
  let field = form.querySelector("input[name=once]");
  if (!field) {
    field = Object.assign(document.createElement("input"), { type: "hidden", name: "once" });
    form.append(field);
  }
  field.value ||= freshKey();
  return field;
}

function setBusy(form, busy) {
  form.toggleAttribute("data-busy", busy);
  for (const button of form.querySelectorAll("button:not([type=button])")) {
    // Not `disabled`: that would drop the pressed button's own name and value.
    button.setAttribute("aria-disabled", String(busy));
  }
}

// In the capturing phase, before htmx sees it.
document.addEventListener(
  "submit",
  (event) => {
    const form = event.target;
    if (!form.hasAttribute("data-once")) return;
    if (form.hasAttribute("data-busy")) {
      event.preventDefault();
      event.stopImmediatePropagation();
      return;
    }
    keyField(form);
    setBusy(form, true);
    // An answer that is a download leaves this page standing.
    setTimeout(() => setBusy(form, false), LONGEST_MS);
  },
  true,
);

document.addEventListener("htmx:finally:request", (event) => {
  const form = event.detail.ctx.sourceElement?.closest?.("form[data-once]");
  if (!form) return;
  setBusy(form, false);
  if (event.detail.ctx.response) keyField(form).value = freshKey();
});

window.addEventListener("pageshow", (event) => {
  if (!event.persisted) return;
  for (const form of document.querySelectorAll("form[data-once]")) {
    setBusy(form, false);
    keyField(form).value = freshKey();
  }
});
