// <button type="button" data-fill="NAME" data-value="28">: puts the value into the field of that
// name in its form, as if it were typed; nothing is saved by it.
document.addEventListener("click", (event) => {
  const button = event.target.closest("[data-fill]");
  const field = button?.form?.elements.namedItem(button.dataset.fill);
  if (!field) return;
  field.value = button.dataset.value;
  field.dispatchEvent(new Event("input", { bubbles: true }));
  field.focus();
});
