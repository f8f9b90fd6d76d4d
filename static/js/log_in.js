// A browser that comes by a link from elsewhere - an e-mail, a scanned label - leaves its own
// cookie at home that once (SameSite=Strict), and is sent here although it is let in. Asked from
// this page the cookie comes along: then on to where the link led.
const next = new URLSearchParams(location.search).has("next") && document.querySelector("[data-next]")?.dataset.next;

if (next) {
  const answer = await fetch("/log-in/standing", { headers: { Accept: "application/json" } }).catch(() => null);
  if (answer?.ok && (await answer.json()).let_in) location.replace(next);
}
