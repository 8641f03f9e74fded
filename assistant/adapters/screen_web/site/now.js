// The page of the job: takes what is new from the server, draws it, and keeps the screen awake while the job runs.
import { draw, fit } from "./draw.js";
import { camera } from "./camera.js";
import { hands } from "./hands.js";

const page = {};
let waking = null;

function begin() {
  const source = new EventSource("/events");
  source.onmessage = (event) => {
    const news = JSON.parse(event.data);
    Object.assign(page, news);
    delete document.body.dataset.away;
    draw(page, news);
    if ("shot" in news) camera(page.shot);
    document.body.dataset.asked = page.asked;
    stayAwake();
    if (page.ended) document.body.dataset.ended = "yes";
  };
  source.onerror = () => {
    document.body.dataset.away = "yes";
    document.getElementById("notice").textContent = "No line to the program. The page comes back by itself.";
    fit();
    if (source.readyState === EventSource.CLOSED) setTimeout(begin, 1000);
  };
}

async function stayAwake() {
  const wanted = !page.ended && document.visibilityState === "visible";
  if (wanted && !waking && navigator.wakeLock) {
    waking = navigator.wakeLock.request("screen");
    try {
      const lock = await waking;
      lock.addEventListener("release", () => { waking = null; });
      if (page.ended) lock.release();
    } catch { waking = null; }
  } else if (!wanted && waking) {
    (await waking).release();
  }
}

document.addEventListener("visibilitychange", stayAwake);
addEventListener("resize", fit);
hands(page);
begin();
