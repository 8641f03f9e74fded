// Gives the code, which stands behind the # of the address where it was scanned, for a token that no script can read.
const form = document.getElementById("pair");
const field = document.getElementById("code");
const said = document.getElementById("pair-said");

function scanned() {
  if (!location.hash) return;
  try { field.value = decodeURIComponent(location.hash.slice(1)); } catch { /* no code of ours */ }
  history.replaceState(null, "", "/pair"); // it is of use once, and in nobody's list of pages
}

scanned();
addEventListener("hashchange", scanned); // scanned anew where this page stood open

form.addEventListener("submit", async (event) => {
  event.preventDefault();
  const body = JSON.stringify({ code: field.value });
  const headers = { "content-type": "application/json" };
  try {
    const answer = await fetch("/pair", { method: "POST", headers, body });
    if (answer.ok) { location.href = "/"; return; }
    said.textContent = `${await answer.text()} Ask for a new one on the laptop, and scan again.`;
  } catch { said.textContent = "No line to the laptop. Is the phone in the same network?"; }
});
