// The laptop's page about the phone: the code to scan, how long it holds, and whether the phone is here.
const token = document.querySelector('meta[name="hoodside-token"]').content;
const headers = { "x-hoodside-token": token };
const at = (id) => document.getElementById(id);

function draw(told) {
  at("address").textContent = told.address;
  at("fingerprint").textContent = told.fingerprint;
  at("vouches").textContent = told.vouches_fingerprint;
  scanned("profile-qr", told.profile);
  at("fresh").hidden = !told.fresh;
  at("paired").textContent = told.here ? "A phone is let in, listens and speaks." : told.paired ? "A phone is let in; it does not listen now." : "No phone is let in.";
  at("away").hidden = !told.paired;
  at("code-there").hidden = !told.code;
  if (!told.code) return;
  at("code").textContent = told.code.text;
  at("left").textContent = `${told.code.left_s} s`;
  scanned("qr", told.code.qr);
}

function scanned(id, qr) {
  at(id).setAttribute("viewBox", `-4 -4 ${qr.side + 8} ${qr.side + 8}`);
  at(id).querySelector("path").setAttribute("d", qr.path);
}

async function ask(path, method = "GET") {
  try {
    const answer = await fetch(path, { method, headers });
    if (answer.ok) draw(await answer.json()); else if (answer.status === 403) location.reload();
  } catch { at("paired").textContent = "No line to the program."; }
}

at("new").addEventListener("click", () => ask("/phone/code", "POST"));
at("away").addEventListener("click", () => ask("/phone/away", "POST"));
setInterval(() => ask("/phone/state"), 1000);
ask("/phone/state");
