// Pages that belong to no one loom (the jobs, one job, past jobs): templates/jobs/_live.html.
// While the page is seen it asks every second whether anything was done to any job, and takes in
// its parts that differ.
import { keepAsking } from "./live_asking.js";
import { lookAnew, takeInParts, working } from "./live_parts.js";

const EVERY_MS = 1000;
const place = document.getElementById("live-jobs");

async function take(news) {
  const anew = await lookAnew();
  if (anew) await takeInParts(anew);
  place.dataset.mark = news.mark;
}

if (place) {
  const address = () => `/live/jobs?${new URLSearchParams({ mark: place.dataset.mark, ...working() })}`;
  keepAsking({ address, take, every: () => EVERY_MS })();
}
