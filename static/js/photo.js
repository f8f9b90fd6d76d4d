// <form data-photo>: a photo that is taken or chosen is sent at once, with the note typed before.
// A browser without scripts shows a button for it instead.
document.addEventListener("change", (event) => {
  const form = event.target.closest?.("form[data-photo]");
  if (!form || event.target.type !== "file" || !event.target.files.length) return;
  for (const other of form.querySelectorAll("input[type=file]")) {
    // What was chosen before, when the page came back from the browser's history.
    if (other !== event.target) other.value = "";
  }
  form.requestSubmit();
});
