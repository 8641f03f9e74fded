// Draws what is new. Every word comes as text, never as markup.
const at = (id) => document.getElementById(id);

function make(tag, text, kind) {
  const made = document.createElement(tag);
  if (text !== undefined) made.textContent = text;
  if (kind) made.className = kind;
  return made;
}

function show(id, there) { at(id).hidden = !there; }

function texts(id, lines, tag = "li") {
  at(id).replaceChildren(...lines.map((line) => make(tag, line)));
}

function button(given, kind) {
  const made = make("button", given.words, kind);
  made.type = "button";
  made.dataset.words = given.words;
  if (given.means) made.append(" ", make("small", given.means));
  works(made, given);
  return made;
}

// Under a heading each; who is about to tap keeps what is under the finger.
function groups(id, list) {
  const box = at(id), words = (of) => of.map((group) => group.buttons.map((one) => one.words).join("|")).join("#");
  if (box.dataset.words === words(list)) {
    const there = [...box.querySelectorAll("button[data-words]")];
    list.flatMap((group) => group.buttons).forEach((one, i) => works(there[i], one));
    return;
  }
  box.dataset.words = words(list);
  box.replaceChildren(...list.map((group) => {
    const made = make("section");
    const set = make("div", undefined, "set");
    set.append(...group.buttons.map((one) => button(one, "hand")));
    made.append(make("h3", group.name), set);
    return made;
  }));
}

function works(made, given) {
  if (given.works) made.removeAttribute("aria-disabled");
  else made.setAttribute("aria-disabled", "true");
}

// Buttons stay the same elements as long as their words do, so that no tap falls between two of them.
function buttons(id, list, kind, last) {
  const box = at(id);
  const before = [...box.querySelectorAll("button[data-words]")];
  const whole = !last || box.contains(last);
  if (whole && before.length === list.length && list.every((one, i) => one.words === before[i].dataset.words && one.means === (before[i].querySelector("small")?.textContent ?? ""))) {
    list.forEach((one, i) => works(before[i], one));
    return;
  }
  box.replaceChildren(...list.map((one) => button(one, kind)), ...(last ? [last] : []));
}

function triangle() {
  const shape = document.createElementNS("http://www.w3.org/2000/svg", "svg");
  shape.setAttribute("viewBox", "0 0 24 22");
  shape.setAttribute("aria-hidden", "true");
  const path = document.createElementNS("http://www.w3.org/2000/svg", "path");
  path.setAttribute("d", "M12 1 L23 21 H1 Z M12 8 v6.5 M12 16.8 v1.6");
  shape.append(path);
  return shape;
}

function band(given) {
  show("band", given);
  if (!given) { at("band").replaceChildren(); return; }
  at("band").dataset.signal = given.signal;
  const word = make("strong");
  if (given.mark) word.append(triangle());
  word.append(given.word);
  at("band").replaceChildren(word, ...(given.text ? [make("span", given.text)] : []));
}

function bars(list) {
  at("odds").replaceChildren(...list.map((one) => {
    const line = make("li");
    const bar = make("span", undefined, "bar");
    const full = make("span", undefined, "full");
    full.style.width = `${Math.max(1, 100 * one.share)}%`;
    bar.append(full);
    line.append(make("span", one.name, "name"), make("b", one.text), bar);
    return line;
  }));
}

const CLOSE = 0.2;

function plot(one, named = true) {
  const box = make("figure");
  const caption = make("figcaption");
  caption.append(named ? `${one.name}: ` : "", make("b", one.text), one.verdict ? ` (${one.verdict})` : "");
  const line = make("div", undefined, "line");
  line.setAttribute("aria-hidden", "true");
  one.limits.forEach(([place, text], i) => {
    // Two limits close together lean apart, so that both can be read.
    const close = (other) => one.limits[other] && Math.abs(one.limits[other][0] - place) < CLOSE;
    const lean = close(i + 1) ? " before" : close(i - 1) ? " after" : "";
    const tick = make("span", undefined, "tick");
    const limit = make("span", text, `limit${lean}`);
    tick.style.left = limit.style.left = `${100 * place}%`;
    line.append(tick, limit);
  });
  const mark = make("span", undefined, "value");
  mark.style.left = `${100 * one.at}%`;
  line.append(mark);
  const told = one.limits.length ? make("span", ` Limits: ${one.limits.map((each) => each[1]).join(", ")}.`, "unseen") : "";
  caption.append(told);
  box.append(caption, line);
  return box;
}

function plots(list) {
  const others = list.filter((one) => !one.cranking);
  const cranking = list.filter((one) => one.cranking);
  show("s-plots", others.length);
  show("s-cranking", cranking.length);
  at("plots").replaceChildren(...others.map((one) => plot(one)));
  at("cranking").replaceChildren(...cranking.map((one) => plot(one, cranking.length > 1))); // its heading says it
}

function chips(list) {
  at("bay").replaceChildren(...list.map((one) => make("li", one.grave ? `! ${one.text}` : one.text, one.grave ? "grave" : "")));
}

function level(given) {
  show("s-level", given);
  if (!given) return;
  const bar = make("span", undefined, "bar");
  const full = make("span", undefined, "full");
  full.style.width = `${100 * given.share}%`;
  bar.append(full);
  at("level").replaceChildren(make("b", given.word), bar);
}

const PAD = [..."1234567890.−⌫"];
const PAD_NAMES = { "⌫": "delete", "−": "minus", ".": "point" };

function writing(page) {
  const takes = page.takes;
  show("write", takes);
  show("pad", takes === "reading");
  at("write").classList.toggle("reading", takes === "reading");
  at("words").value = "";
  at("words").inputMode = takes === "reading" ? "decimal" : "text";
  const labels = { reading: `Reading in ${page.unit}`, codes: "Code", words: "Your words" };
  at("write-label").textContent = labels[takes] ?? "";
  if (takes === "reading" && !at("pad").childElementCount) {
    at("pad").append(...PAD.map((key) => {
      const made = make("button", key);
      made.type = "button";
      made.dataset.pad = key;
      if (PAD_NAMES[key]) made.setAttribute("aria-label", PAD_NAMES[key]);
      return made;
    }));
  }
}

let moreButton = null;

export function draw(page, news) {
  const has = (...names) => names.some((name) => name in news);
  if (has("title", "job", "step", "mode")) {
    at("title").textContent = page.title;
    at("place").replaceChildren(page.job, make("span", ` · ${page.step}`), ` · ${page.mode}`);
    document.title = `${page.title}: ${page.mode}`;
  }
  if (has("band")) band(page.band);
  if (has("instruction")) at("instruction").textContent = page.instruction;
  if (has("clock")) clock(page.clock);
  if (has("said")) said(page.said);
  if (has("answers")) buttons("answers", page.answers, page.passes ? "passes" : "answer");
  if (has("examples", "takes")) at("examples").textContent = page.examples.length ? `Say it such as: “${page.examples.slice(0, 2).join("” or “")}”` : "";
  if (has("takes", "unit", "asked")) writing(page);
  if (has("hands", "more")) {
    moreButton ??= Object.assign(make("button", "all words"), { type: "button", id: "open-sheet" });
    buttons("hands", page.hands, "hand", moreButton);
    show("open-sheet", page.more.length);
    groups("more", page.more);
  }
  if (has("told_only")) at("told-only").textContent = page.told_only.length ? `Or tell what you found yourself, such as: “${page.told_only.join("”, “")}”` : "";
  if (has("heard")) {
    show("s-heard", page.heard);
    const sure = page.heard?.sure ? ` (${page.heard.sure.replace(" %", "\u00a0%")})` : "";
    at("heard").textContent = page.heard ? `“${page.heard.words}”${sure}` : "";
  }
  if (has("level")) level(page.level);
  if (has("odds")) { show("s-odds", page.odds.length); bars(page.odds); }
  if (has("reason")) { show("s-reason", page.reason); at("reason").textContent = page.reason; }
  if (has("bay")) { show("s-bay", page.bay.length); chips(page.bay); }
  if (has("open_items")) { show("s-open", page.open_items.length); texts("open", page.open_items); }
  if (has("plots")) plots(page.plots);
  if (has("burst")) { show("s-burst", page.burst); at("burst").textContent = page.burst; }
  if (has("path")) { show("s-path", page.path.length); texts("path", [...page.path].reverse()); }
  if (has("notices", "refused", "speaking", "asked")) notice(page);
  if (has("ended", "job")) {
    show("papers", page.ended);
    at("paper").href = `/report?job=${encodeURIComponent(page.job)}`;
  }
  document.body.classList.toggle("speaking", page.speaking);
  document.body.classList.toggle("counting", page.clock !== null);
  if (Object.keys(news).some((name) => !["clock", "level", "speaking"].includes(name))) fit();
}

const LONG_TALK = 3, LONG_NAME = 30;

// What is long, as a finding is, stands line by line, and what each line is about stands out.
function said(list) {
  at("said").classList.toggle("long", list.length > LONG_TALK);
  if (list.length <= LONG_TALK) { at("said").textContent = list.join(" "); return; }
  at("said").replaceChildren(...list.flatMap((text, i) => {
    const line = make("span"), end = text.indexOf(": ");
    const named = end > 0 && end < LONG_NAME;
    if (named) line.append(make("b", text.slice(0, end + 1)));
    line.append(named ? text.slice(end + 1) : text);
    return i ? [" ", line] : [line];
  }));
}

function notice(page) {
  const lines = [...page.notices, ...(page.refused[1] ? [page.refused[1]] : [])];
  const text = lines.join(" ");
  if (at("notice").textContent !== text) at("notice").textContent = text;
}

function clock(given) {
  const was = at("clock").hidden;
  show("clock", given);
  if (!given) return;
  at("clock-label").textContent = given.label;
  at("clock-text").textContent = given.tenths ? `${given.text} s` : given.text;
  if (was) fit();
}

const SMALLEST_REM = 1.4, LARGEST_REM = 5.2, BESIDE_CLOCK_REM = 3.4, LEAST_REM = [3.2, 2.6, 2.1, 1.7, 1.5, 1.4];
const CLOCK_REM = [11, 9, 7.5, 6, 5, 4, 3], CLOCK_WITH_REM = 2.4, BESIDE_REM = [1.5, 1.4, 1.3, 1.2, 1.1, 1];

// Whether something lies outside of the box, or in the rim that it keeps free.
function tall(box) {
  if (box.scrollHeight > box.clientHeight + 1) return true;
  const end = box.getBoundingClientRect().bottom - parseFloat(getComputedStyle(box).paddingBottom);
  return [...box.children].some((one) => one.getClientRects().length && one.getBoundingClientRect().bottom > end + 1);
}

// The instruction as large as the rest allows; where it would not be large, the rest gives way bit by bit. A clock is
// what is looked at while it runs, so it comes first; what stands beside grows into the room that is left.
export function fit() {
  const main = document.querySelector("main");
  const left = at("do"), right = at("beside"), letters = at("instruction").style, clock = at("clock-text").style;
  const over = () => main.scrollHeight > main.clientHeight + 1 || tall(left) || tall(right);
  const abreast = getComputedStyle(right).borderLeftStyle !== "none";
  const counts = !at("clock").hidden;
  const grow = (style, sizes) => sizes.some((size) => { style.fontSize = `${size}rem`; return !over(); });
  let tight = 0;
  clock.fontSize = `${CLOCK_REM.at(-1)}rem`;
  right.style.fontSize = "";
  for (; tight < LEAST_REM.length; tight++) {
    document.body.dataset.tight = tight;
    letters.fontSize = `${abreast ? SMALLEST_REM : LEAST_REM[tight]}rem`;
    if (!(abreast ? tall(right) : over())) break;
  }
  if (counts) {
    letters.fontSize = `${abreast ? CLOCK_WITH_REM : SMALLEST_REM}rem`;
    grow(clock, CLOCK_REM);
  }
  let low = SMALLEST_REM, high = counts ? BESIDE_CLOCK_REM : LARGEST_REM;
  while (high - low > 0.05) {
    const middle = (low + high) / 2;
    letters.fontSize = `${middle}rem`;
    if (over()) high = middle; else low = middle;
  }
  letters.fontSize = `${low}rem`;
  if (abreast) grow(right.style, BESIDE_REM);
}
