// The phone as microphone and speaker: blocks with numbers go out, speech comes in, and the line mends itself.
import { fetchLine, socketLine } from "./lines.js";
import { Mouth } from "./mouth.js";

const BLOCK_S = 0.032, KEPT = 62; // two seconds
const SILENT_MS = 1200, AGAIN_MS = 400, TELL_MS = 100, TRIES = 2;
const sheet = document.getElementById("sound-sheet");
const why = document.getElementById("sound-why");
const state = document.body.dataset;

let context = null, track = null, mouth = null, stream = "", line = null, ready = false;
let kept = [], number = 0, next = 0, heardMs = 0, toldPlayed = -1, sockets = true, failed = 0, opened = false;

function ask(words) {
  why.textContent = words;
  state.sound = "off";
  if (!sheet.open) sheet.show(); // beside the page: stop stays in reach
}

async function begin() {
  sheet.close();
  try {
    context ??= new AudioContext({ latencyHint: "interactive" });
    context.resume(); // the tap is what allows it
    if (!track || track.readyState === "ended") await listen();
  } catch (error) {
    ask(error.name === "NotAllowedError" ? "The browser gives no microphone. Allow it for this page, then tap again." : "No microphone could be opened. Tap to try again.");
    return;
  }
  state.sound = "on";
  if (line) hello(); else dial();
}

async function listen() {
  const wishes = { echoCancellation: true, noiseSuppression: false, autoGainControl: false, channelCount: 1 };
  const given = await navigator.mediaDevices.getUserMedia({ audio: wishes });
  [track] = given.getAudioTracks();
  track.onended = gone;
  track.onmute = gone;
  track.onunmute = back;
  context.onstatechange = () => (context.state === "running" ? back() : gone());
  mouth ??= new Mouth(context);
  await context.audioWorklet.addModule("/site/ear.js");
  const frames = Math.round(context.sampleRate * BLOCK_S);
  const ear = new AudioWorkletNode(context, "ear", { numberOfOutputs: 0, processorOptions: { frames } });
  context.createMediaStreamSource(given).connect(ear);
  stream = [...crypto.getRandomValues(new Uint8Array(12))].map((one) => one.toString(16).padStart(2, "0")).join("");
  kept = [];
  number = next = 0;
  const mine = stream;
  ear.port.onmessage = (event) => { if (stream === mine) heard(event.data); };
}

function heard(samples) {
  if (state.sound !== "on") return; // a track that ended gives zeros
  const block = new Uint8Array(4 + samples.byteLength);
  new DataView(block.buffer).setUint32(0, number, true);
  block.set(new Uint8Array(samples), 4);
  kept.push({ number: number++, block });
  if (kept.length > KEPT) kept.shift(); // what nobody took for so long is no answer any more; the numbers tell the gap
  flush();
}

function flush() {
  if (!ready) return;
  for (const one of kept) {
    if (one.number < next) continue;
    if (!line.free) return;
    line.block(one.block);
    next = one.number + 1;
  }
}

function hello() {
  const rate = Math.round(context.sampleRate);
  line.text({ stream, rate, cuts: mouth.cuts, played: mouth.played, has: mouth.has });
}

function dial() {
  heardMs = Date.now();
  opened = ready = false;
  const on = {
    open() { opened = true; failed = 0; hello(); },
    text: told,
    speech(buffer) { heardMs = Date.now(); mouth.take(buffer); },
    down,
  };
  try {
    line = sockets ? socketLine(on) : fetchLine(on);
  } catch { line = null; down(); }
}

function told(news) {
  heardMs = Date.now();
  if ("cuts" in news) mouth.cutTo(news.cuts);
  if ("got" in news) kept = kept.filter((one) => one.number >= news.got);
  if (news.here === false && ready && state.sound === "on") { ready = false; hello(); return; } // given up meanwhile
  if ("next" in news) {
    mouth.rate = news.rate;
    if (news.skips) kept = [];
    next = news.next;
    ready = true;
    state.line = "up";
    flush();
  }
}

async function down() {
  line = null;
  ready = false;
  state.line = "down";
  mouth?.hush();
  // A browser that has never opened one refuses sockets on a certificate that nobody vouches for.
  if (!opened && sockets && state.everSocket !== "yes" && ++failed >= TRIES) sockets = false;
  if (opened && sockets) state.everSocket = "yes";
  try {
    const answer = await fetch("/where", { signal: AbortSignal.timeout(2000) });
    if (answer.status === 403) { location.href = "/pair"; return; }
  } catch { /* the line is down altogether */ }
  if (state.sound === "on" || state.sound === "gone") setTimeout(() => { if (!line) dial(); }, AGAIN_MS);
}

function gone() {
  if (state.sound !== "on") return;
  line?.text({ off: true });
  ask("Microphone gone: a call, a locked screen or another program took it. The laptop listens meanwhile.");
  state.sound = "gone";
}

function back() {
  if (state.sound !== "gone" || context.state !== "running" || track.muted || track.readyState === "ended") return;
  sheet.close();
  state.sound = "on";
  if (line) hello();
}

// After a call or a locked screen some browsers leave the sound interrupted until the page asks for it again.
document.addEventListener("visibilitychange", () => {
  if (document.visibilityState === "visible" && state.sound === "gone") context?.resume().catch(() => {});
});

setInterval(() => {
  if (!line || !mouth) return;
  if (Date.now() - heardMs > SILENT_MS) { line.close(); return; }
  const played = mouth.played;
  if (ready && played !== toldPlayed) { toldPlayed = played; line.text({ cuts: mouth.cuts, played }); }
}, TELL_MS);

document.getElementById("sound-on").addEventListener("click", begin);
document.getElementById("sound-not").addEventListener("click", () => sheet.close());
document.getElementById("sound-open").addEventListener("click", () => { if (!sheet.open) sheet.show(); });
document.getElementById("leave").addEventListener("click", async () => {
  const token = document.querySelector('meta[name="hoodside-token"]').content;
  await fetch("/leave", { method: "POST", headers: { "x-hoodside-token": token } });
  location.href = "/pair";
});
ask("Wear the phone, best with a headset: lying on the fender it is a screen, and hears the shop better than you.");
