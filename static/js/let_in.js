// A device that was revoked or logged out while its page is open is told at once: whatever asks the
// server for news, or sends what is kept, passes on how it was answered.
let out = false;
let kept = 0;

/** Passes on the status of an answer: 401 says that this device is let in no more. */
export function heard(status) {
  out = status === 401;
  show();
}

/** How many ticks are kept here, for the sentence. */
export function keeps(count) {
  kept = count;
  show();
}

const link = (href, textContent) => Object.assign(document.createElement("a"), { href, textContent });

function words() {
  const ticks = kept === 1 ? "1 tick is" : `${kept} ticks are`;
  if (document.querySelector(".logged-in")) {
    const still = kept ? `; ${ticks} kept here` : "";
    return [`You are no longer logged in here${still}. `, link("/log-in", "Log in"), "."];
  }
  const still = kept ? `; its ${ticks} kept` : "";
  return [`This tablet is no longer paired${still}. `, link("/pair", "Pair it again"), " or ", link("/log-in", "log in"), "."];
}

function show() {
  const notice = document.getElementById("notice");
  const before = notice?.querySelector("[data-locked]");
  if (!out || !notice) {
    before?.remove();
    return;
  }
  const line = before ?? Object.assign(document.createElement("p"), { className: "bad" });
  line.dataset.locked = "";
  const now = words();
  const text = now.map((part) => part.textContent ?? part).join("");
  if (line.textContent !== text) line.replaceChildren(...now);
  if (!before) notice.append(line);
}
