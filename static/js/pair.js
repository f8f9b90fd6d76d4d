// On the tablet: the code that a QR brought behind the # goes into the form, and is sent.
// It leaves the address at once, so that it stays in no history.
const form = document.querySelector("[data-pair]");
const code = decodeURIComponent(location.hash.slice(1));

if (form && /^[0-9A-Za-z-]{8,40}$/.test(code)) {
  history.replaceState(null, "", location.pathname);
  form.elements.code.value = code;
  document.querySelector("[data-pairing]").textContent = "Pairing …";
  form.requestSubmit();
}
