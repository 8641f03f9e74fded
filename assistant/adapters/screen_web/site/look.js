// Light or dark: as the system has it, until the button says otherwise.
const root = document.documentElement;
let kept = null;
try { kept = localStorage.getItem("look"); } catch { /* a browser that keeps nothing */ }
if (kept) root.dataset.look = kept;

for (const button of document.querySelectorAll(".look")) button.addEventListener("click", () => {
  const dark = root.dataset.look
    ? root.dataset.look === "dark"
    : matchMedia("(prefers-color-scheme: dark)").matches;
  root.dataset.look = dark ? "light" : "dark";
  try { localStorage.setItem("look", root.dataset.look); } catch { /* as above */ }
});
