// A browser that comes by a link from elsewhere - an e-mail, a scanned label - leaves its own
// cookie at home that once (SameSite=Strict), and is sent here although it is let in. Asked from
// this page the cookie comes along: then on to where the link led.
const next = new URLSearchParams(location.search).has("next") && document.querySelector("[data-next]")?.dataset.next;

if (next) {
  const asked = { headers: { Accept: "application/json" }, redirect: "manual" };
  const answer = await fetch(next, asked).catch(() => null);
  if (answer && answer.status !== 401) location.replace(next);
}
