// The plan to scale: a branch is turned by dragging its end, or with the arrow keys on its end.
// drawings/scale_plan.py draws each run as <g class="branch" data-run data-x data-y data-angle
// data-forward> that holds all that hangs on it; (x, y) is the point that it turns about.
const STEP = 5;
const LEAST_PULL_PX = 3;

const branchOf = (grip) => grip.closest(".branch");
const angleOf = (branch) => Number(branch.dataset.angle);
const wholeTurn = (angle) => ((((angle + 180) % 360) + 360) % 360) - 180;

function swing(branch, by) {
  // On the drawing angles grow clockwise.
  branch.setAttribute("transform", `rotate(${-by} ${branch.dataset.x} ${branch.dataset.y})`);
}

function letGo(branch) {
  branch.removeAttribute("transform");
  branch.classList.remove("turning");
}

function send(branch, angle) {
  const form = document.getElementById("turn");
  form.elements.namedItem("run").value = branch.dataset.run;
  form.elements.namedItem("seen").value = branch.dataset.angle;
  form.elements.namedItem("angle").value = wholeTurn(angle).toFixed(1);
  form.requestSubmit();
}

function pointAt(svg, event) {
  return new DOMPoint(event.clientX, event.clientY).matrixTransform(svg.getScreenCTM().inverse());
}

document.addEventListener("pointerdown", (event) => {
  const grip = event.target.closest?.(".grip");
  if (!grip || event.button !== 0) return;
  const branch = branchOf(grip);
  const svg = branch.ownerSVGElement;
  const centre = { x: Number(branch.dataset.x), y: Number(branch.dataset.y) };
  const towards = (at) => (Math.atan2(centre.y - at.y, at.x - centre.x) * 180) / Math.PI;
  const start = pointAt(svg, event);
  const from = towards(start);
  const steady = angleOf(branch);
  let by = 0;
  grip.setPointerCapture(event.pointerId);
  grip.focus();
  event.preventDefault();

  const move = (next) => {
    const at = pointAt(svg, next);
    if (Math.hypot(at.x - start.x, at.y - start.y) < LEAST_PULL_PX && !by) return;
    const step = next.shiftKey ? 1 : STEP;
    const wanted = Math.round((steady + towards(at) - from) / step) * step;
    by = wholeTurn(wanted - steady);
    branch.classList.add("turning");
    swing(branch, by);
  };
  const end = (last) => {
    for (const [name, what] of listeners) grip.removeEventListener(name, what);
    branch.classList.remove("turning");
    if (last.type === "pointerup" && by) send(branch, steady + by);
    else letGo(branch);
  };
  const listeners = [["pointermove", move], ["pointerup", end], ["pointercancel", end]];
  for (const [name, what] of listeners) grip.addEventListener(name, what);
});

let keyed = null; // { branch, by, timer }: keys are gathered, so that one turn is one write

document.addEventListener("keydown", (event) => {
  const grip = event.target.closest?.(".grip");
  if (!grip) return;
  const way = { ArrowLeft: 1, ArrowUp: 1, ArrowRight: -1, ArrowDown: -1 }[event.key];
  if (event.key === "Escape" && keyed) {
    clearTimeout(keyed.timer);
    letGo(keyed.branch);
    keyed = null;
  } else if (way) {
    event.preventDefault();
    const branch = branchOf(grip);
    const by = (keyed?.branch === branch ? keyed.by : 0) + way * (event.shiftKey ? 1 : STEP);
    if (keyed) clearTimeout(keyed.timer);
    swing(branch, by);
    const timer = setTimeout(() => {
      keyed = null;
      send(branch, angleOf(branch) + by);
    }, 450);
    keyed = { branch, by, timer };
  }
});

// The answer may refuse, or lay all out anew: what was swung here lies as the answer says, and
// the keys go on from the same end.
let hold = "";
document.addEventListener("htmx:before:swap", (event) => {
  if (!event.detail.ctx.target?.matches?.("[data-plan]")) return;
  hold = document.activeElement?.closest?.(".grip")?.dataset.grip ?? "";
});
document.addEventListener("htmx:after:swap", () => {
  for (const branch of document.querySelectorAll(".branch[transform]")) letGo(branch);
  if (hold) document.querySelector(`[data-grip="${CSS.escape(hold)}"]`)?.focus();
  hold = "";
});
