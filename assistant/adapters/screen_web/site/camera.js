// Takes the photograph that was asked for by word or by tap: shows what it sees, counts down, sends it once.
const token = document.querySelector('meta[name="hoodside-token"]').content;
const kind = document.querySelector('meta[name="hoodside-page"]').content;
const sheet = document.getElementById("camera");
const view = document.getElementById("camera-view");
const left = document.getElementById("camera-left");
const COUNT_S = 3, LONGEST = 1280, QUALITY = 0.82;

let shot = null, given = null, ticking = 0;

async function send(body) {
  const number = shot;
  close();
  if (number === null) return;
  const headers = { "x-hoodside-token": token, "x-hoodside-shot": String(number) };
  try { await fetch("/picture", { method: "POST", headers, body }); } catch { /* nobody waits for it much longer */ }
}

function close() {
  shot = null;
  clearInterval(ticking);
  given?.getTracks().forEach((one) => one.stop());
  given = view.srcObject = null;
  if (sheet.open) sheet.close();
}

// Drawn anew, so that nothing of what a camera writes beside a picture is sent.
function take() {
  if (!view.videoWidth) return;
  const share = Math.min(1, LONGEST / Math.max(view.videoWidth, view.videoHeight));
  const canvas = document.createElement("canvas");
  canvas.width = Math.round(view.videoWidth * share);
  canvas.height = Math.round(view.videoHeight * share);
  canvas.getContext("2d").drawImage(view, 0, 0, canvas.width, canvas.height);
  canvas.toBlob(send, "image/jpeg", QUALITY);
}

export async function camera(wanted) {
  if (!wanted || wanted[1] !== kind || document.visibilityState !== "visible") { if (!wanted) close(); return; }
  if (shot === wanted[0]) return;
  const number = shot = wanted[0];
  left.textContent = "";
  if (!sheet.open) sheet.show(); // beside the page: stop stays in reach
  try {
    const wishes = { facingMode: "environment", width: { ideal: LONGEST } };
    const got = await navigator.mediaDevices.getUserMedia({ video: wishes });
    if (shot !== number) { got.getTracks().forEach((one) => one.stop()); return; }
    given = got;
  } catch { send(""); return; }
  view.srcObject = given;
  await view.play();
  let seconds = COUNT_S;
  left.textContent = `Taken in ${seconds}`;
  ticking = setInterval(() => {
    seconds -= 1;
    left.textContent = `Taken in ${seconds}`;
    if (seconds <= 0) { clearInterval(ticking); take(); }
  }, 1000);
}

document.getElementById("camera-now").addEventListener("click", take);
document.getElementById("camera-not").addEventListener("click", () => send(""));
