// Wires led from way to way on a face (templates/fittings/_faces.html).
//   <div data-face="wire"> <button data-way="w3" data-link="l7">…</button> … </div>
//   <form id="lead"> <select name="wire"> <option value="l7|w3"> … <select name="to"> <option value="w5|…">
// A wire is dragged to another way, or pressed and then the way; by keys the arrows choose, Enter
// picks up and puts down, Esc gives up. Each way ends in the form, which is all that the server sees.
const DRAG_PX = 6;
let held = null; // the stop that is picked up
let drag = null; // { stop, x, y, moving }: a pointer that is down
let dragged = false; // the click that follows a drag is none
let goTo = null; // where the focus belongs after the answer

const stopAt = (target) => target?.closest?.("[data-face] [data-way]");
const said = (words) => {
  const line = document.createElement("p");
  line.textContent = words;
  document.getElementById("led-said")?.replaceChildren(line);
};

function mark(stop) {
  for (const each of document.querySelectorAll("[data-face] .held")) each.classList.remove("held");
  for (const each of document.querySelectorAll("[data-face] .over")) each.classList.remove("over");
  held = stop;
  document.getElementById("faces")?.classList.toggle("leading", Boolean(stop));
  if (!stop) return;
  // Both sides show it.
  for (const each of document.querySelectorAll("[data-face] [data-way]")) {
    const same = each.dataset.way === stop.dataset.way && each.dataset.link === stop.dataset.link;
    each.classList.toggle("held", same);
  }
}

const nameOf = (stop) => (stop.querySelector("title") ?? stop).textContent.trim();

function pickUp(stop) {
  if (!stop.dataset.link) {
    said("No wire is at this way: pick one up at another.");
    return;
  }
  mark(stop);
  said(`Picked up: ${nameOf(stop)}. Choose a way and put it down, or Esc to give up.`);
}

function giveUp() {
  mark(null);
  said("Given up: nothing has changed.");
}

function putDown(stop) {
  const form = document.getElementById("lead");
  const wire = `${held.dataset.link}|${held.dataset.way}`;
  const same = stop.dataset.way === held.dataset.way;
  mark(null);
  if (same) {
    said("Put back where it was.");
    return;
  }
  const to = [...form.elements.to.options].find((each) => each.value.startsWith(`${stop.dataset.way}|`));
  form.elements.wire.value = wire;
  form.elements.to.value = to?.value ?? "";
  goTo = { face: stop.closest("[data-face]").dataset.face, way: stop.dataset.way };
  form.requestSubmit();
}

// --- pressing and keys ---

document.addEventListener("click", (event) => {
  const stop = stopAt(event.target);
  if (!stop) return;
  if (dragged) dragged = false;
  else if (held) putDown(stop);
  else pickUp(stop);
});

const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };

function middle(element) {
  const box = element.getBoundingClientRect();
  return [box.x + box.width / 2, box.y + box.height / 2];
}

// The nearest stop of the same face in this direction; what lies aside counts twice as far.
function beside(stop, [dx, dy]) {
  const [x, y] = middle(stop);
  let best = null;
  for (const other of stop.closest("[data-face]").querySelectorAll("[data-way]")) {
    const [ox, oy] = middle(other);
    const ahead = (ox - x) * dx + (oy - y) * dy;
    if (other === stop || ahead <= 1) continue;
    const far = ahead + 2 * Math.abs((ox - x) * dy + (oy - y) * dx);
    if (!best || far < best.far) best = { other, far };
  }
  return best?.other;
}

document.addEventListener("keydown", (event) => {
  if (event.key === "Escape" && (held || drag)) {
    if (drag) dragged = drag.moving;
    drag = null;
    giveUp();
    event.preventDefault();
    return;
  }
  const stop = stopAt(event.target);
  if (!stop || !ARROWS[event.key] || event.ctrlKey || event.altKey || event.metaKey) return;
  beside(stop, ARROWS[event.key])?.focus();
  event.preventDefault();
});

// --- dragging ---

document.addEventListener("pointerdown", (event) => {
  const stop = stopAt(event.target);
  dragged = false;
  if (stop?.dataset.link && event.isPrimary && event.button === 0 && !held) {
    drag = { stop, x: event.clientX, y: event.clientY, moving: false };
  }
});

const under = (event) => stopAt(document.elementFromPoint(event.clientX, event.clientY));

document.addEventListener("pointermove", (event) => {
  if (!drag || !event.isPrimary) return;
  if (!drag.moving && Math.hypot(event.clientX - drag.x, event.clientY - drag.y) < DRAG_PX) return;
  if (!drag.moving) {
    drag.moving = true;
    pickUp(drag.stop);
  }
  const over = under(event);
  for (const each of document.querySelectorAll("[data-face] .over")) {
    if (each !== over) each.classList.remove("over");
  }
  over?.classList.add("over");
  event.preventDefault();
});

function letGo(event, cancelled) {
  if (!drag || !event.isPrimary) return;
  const { moving } = drag;
  drag = null;
  if (!moving) return;
  dragged = true;
  const stop = cancelled ? null : under(event);
  if (stop) putDown(stop);
  else giveUp();
}
document.addEventListener("pointerup", (event) => letGo(event, false));
document.addEventListener("pointercancel", (event) => letGo(event, true));

// --- after the answer ---

document.addEventListener("htmx:finally:request", (event) => {
  if (event.detail?.ctx?.sourceElement?.id !== "lead" || !goTo) return;
  const face = document.querySelector(`[data-face="${CSS.escape(goTo.face)}"]`);
  face?.querySelector(`[data-way="${CSS.escape(goTo.way)}"]`)?.focus();
  goTo = null;
});
