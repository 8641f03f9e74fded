// Taps, keys, pedals and presenters: each gives words to the program, which obeys or refuses them as if they were said.
const token = document.querySelector('meta[name="hoodside-token"]').content;

async function say(page, words, typed = false) {
  const told = { words, asked: page.asked, typed };
  const headers = { "content-type": "application/json", "x-hoodside-token": token };
  let answer = null;
  try {
    answer = await fetch("/say", { method: "POST", headers, body: JSON.stringify(told) });
  } catch { return; } // the line is down, and the page says so
  if (answer.status === 403) location.reload(); // the program was started anew
}

// Pedals and presenters send keys of a book reader; a headset sends those of a player.
const FORWARD = new Set([" ", "PageDown", "ArrowRight", "ArrowDown"]);
const BACK = new Set(["PageUp", "ArrowLeft", "ArrowUp"]);

function meant(page, key) {
  const can = [...page.hands, ...page.answers, ...page.more.flatMap((group) => group.buttons)].map((one) => one.words);
  const first = (...wanted) => wanted.find((words) => can.includes(words));
  if (key === "s" || key === "Escape") return first("stop");
  if (FORWARD.has(key)) return first("done", "ready");
  if (BACK.has(key)) return first("say again");
  if (key === "y") return first("yes");
  if (key === "n") return first("no");
  if (key === "MediaPlayPause") return first("resume", "pause");
  // Who is in trouble strikes where the hand falls.
  return (page.speaking || page.counting) && key.length === 1 ? first("stop") : undefined;
}

export function hands(page) {
  const words = document.getElementById("words");
  const sheet = document.getElementById("sheet");
  const any = document.getElementById("any");

  document.addEventListener("click", (event) => {
    const button = event.target.closest("button");
    if (!button) return;
    if (button.dataset.pad) { pad(words, button.dataset.pad); return; }
    if (button.id === "open-sheet") { if (sheet.open) sheet.close(); else sheet.show(); return; } // stop stays in reach
    if (button.id === "sheet-close") { sheet.close(); return; }
    if (!button.dataset.words) return;
    if (sheet.open) sheet.close();
    say(page, button.dataset.words);
  });

  document.getElementById("write").addEventListener("submit", (event) => {
    event.preventDefault();
    const given = words.value.trim().replace("−", "-");
    if (!given) return;
    say(page, page.takes === "reading" && /^[-+.\d]+$/.test(given) ? `${given} ${page.unit}` : given, true);
  });

  document.getElementById("say").addEventListener("submit", (event) => {
    event.preventDefault();
    const given = any.value.trim();
    if (!given) return;
    any.value = "";
    sheet.close();
    say(page, given, true);
  });

  document.addEventListener("keydown", (event) => {
    const busy = event.target.closest("input, button, a, dialog");
    if (event.ctrlKey || event.altKey || event.metaKey || event.repeat || page.asked === undefined) return;
    if (event.key === "Escape" && sheet.open) sheet.close();
    if (sheet.open && event.key !== "s" && event.key !== "Escape") return; // the others turn its pages
    if (event.target === words || event.target === any || (busy && (event.key === " " || event.key === "Enter"))) return;
    const given = meant(page, event.key);
    if (given === undefined) return;
    event.preventDefault();
    say(page, given);
  });
}

function pad(field, key) {
  if (key === "⌫") field.value = field.value.slice(0, -1);
  else if (key === "−") field.value = field.value.startsWith("-") ? field.value.slice(1) : `-${field.value}`;
  else field.value += key;
}
