// Marks the step where the job stands in the drawing, and follows it.
const told = document.querySelector('meta[name="hoodside-flow"]');
const job = told.dataset.job;
const calm = matchMedia("(prefers-reduced-motion: reduce)").matches;

function mark(step) {
  const drawing = document.querySelector(".drawing");
  drawing.querySelectorAll(".present").forEach((one) => one.remove());
  const box = [...drawing.querySelectorAll("[data-step]")].find((one) => one.dataset.step === step);
  document.getElementById("here").textContent = box ? `The job stands at: ${step.replaceAll("-", " ")}` : "";
  if (!box) return;
  const size = box.getBBox();
  const svg = "http://www.w3.org/2000/svg";
  const frame = document.createElementNS(svg, "rect");
  for (const [name, value] of Object.entries({ x: size.x - 9, y: size.y - 9, width: size.width + 18, height: size.height + 18, rx: 8 })) {
    frame.setAttribute(name, value);
  }
  const word = document.createElementNS(svg, "text");
  word.textContent = "▶ here now";
  word.setAttribute("x", size.x - 4);
  word.setAttribute("y", size.y - 16);
  const both = document.createElementNS(svg, "g");
  both.setAttribute("class", "present");
  both.append(frame, word);
  box.append(both);
  box.scrollIntoView({ block: "center", inline: "center", behavior: calm ? "auto" : "smooth" });
}

let step = told.dataset.step;
const procedure = told.content;
mark(step);

function at(place) {
  if (!place) return;
  if (place[0] !== procedure) { location.reload(); return; }
  if (place[1] !== step) { step = place[1]; mark(step); }
}

if (job) {
  setInterval(async () => {
    try { at(await (await fetch(`/where?job=${encodeURIComponent(job)}`)).json()); } catch { /* again next time */ }
  }, 2000);
} else {
  new EventSource("/events").onmessage = (event) => at(JSON.parse(event.data).place);
}
