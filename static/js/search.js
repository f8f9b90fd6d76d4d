// "/" anywhere outside a field goes to the search box; Esc there leaves it.
const typing = (element) =>
  element.closest("input:not([type=checkbox]):not([type=radio]), textarea, select, [contenteditable]");

document.addEventListener("keydown", (event) => {
  const box = document.querySelector("[data-search]");
  if (!box) return;
  if (event.key === "/" && !event.ctrlKey && !event.metaKey && !event.altKey && !typing(event.target)) {
    event.preventDefault();
    box.focus();
    box.select();
  } else if (event.key === "Escape" && event.target === box) {
    box.blur();
  }
});
