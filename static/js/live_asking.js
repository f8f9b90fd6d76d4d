// Asks an address again and again while the page is seen: what live.js and live_jobs.js rest on.
//   keepAsking({ address, take, every, away, back }) gives the function that asks at once
//   address()  what to ask now                             take(news)  what a new answer does
//   every()    how long to wait after an answer, in ms     away(), back()  said once each
// Nothing is asked while the page is hidden; it catches up as soon as it is seen. While the server
// is away it is asked less and less often; as soon as the device has its network back, at once.
import { heard } from "./let_in.js";

const AFTER_FAILURE_MS = [1500, 3000, 5000, 8000];
const LONGEST_MS = 10_000;

export function keepAsking({ address, take, every, away = () => {}, back = () => {} }) {
  let timer = 0;
  let failures = 0;
  let asking = false;

  function wait() {
    if (document.hidden) return;
    const ms = failures ? AFTER_FAILURE_MS[Math.min(failures, AFTER_FAILURE_MS.length) - 1] : every();
    timer = setTimeout(look, ms);
  }

  async function look() {
    clearTimeout(timer);
    if (document.hidden || asking) return;
    asking = true;
    try {
      const answer = await fetch(address(), {
        headers: { Accept: "application/json" },
        signal: AbortSignal.timeout(LONGEST_MS),
      });
      heard(answer.status);
      if (!answer.ok) throw new Error(String(answer.status));
      if (failures > 1) back();
      failures = 0;
      if (answer.status === 200) await take(await answer.json());
    } catch {
      failures += 1;
      if (failures === 2) away();
    } finally {
      asking = false;
      wait();
    }
  }

  document.addEventListener("visibilitychange", look);
  window.addEventListener("online", look);
  window.addEventListener("pageshow", (event) => {
    // From the browser's history the page is as old as it was left.
    if (event.persisted) look();
  });
  return look;
}
