// On every page: says that scripts run, and starts the small modules by what the page holds.
import "./search.js";
import "./keys.js";
import "./once.js";
import "./rows.js";
import "./cell.js";
import "./plan.js";
import "./live.js";
import "./live_jobs.js";
import "./paste.js";
import "./fill.js";
import { returnToPlace } from "./undo.js";
import { startWires } from "./wires.js";
import { startBench } from "./bench/start.js";

document.documentElement.classList.add("js");

// The error summary takes the focus, so that it is read first.
document.querySelector("[data-focus]")?.focus();

// A summary's link goes to the field itself, not only to its place on the page.
document.addEventListener("click", (event) => {
  const link = event.target.closest(".summary a[href^='#']");
  const field = link && document.getElementById(decodeURIComponent(link.hash.slice(1)));
  if (field) {
    event.preventDefault();
    field.focus();
    field.scrollIntoView({ block: "center" });
  }
});

document.addEventListener("change", (event) => {
  const form = event.target.form;
  if (form?.hasAttribute("data-send-on-change") && event.target.value) form.requestSubmit();
});

document.addEventListener("click", (event) => {
  if (event.target.closest("[data-print]")) window.print();
});

startBench();
startWires();
returnToPlace();
