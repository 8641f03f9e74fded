// Two ways to the program that carry the same: a socket, or where none can be opened, requests of 150 ms of sound each.
const OPEN_MS = 2500, CHUNK_MS = 150, MOST_WAITING = 65536;

// `on.text(told)`, `on.speech(buffer)`, `on.open()`, `on.down()`: told of what comes, and once of the end.
export function socketLine(on) {
  const socket = new WebSocket(`wss://${location.host}/sound`);
  socket.binaryType = "arraybuffer";
  let over = false;
  const end = () => { if (!over) { over = true; socket.close(); on.down(); } };
  const late = setTimeout(() => { if (socket.readyState === WebSocket.CONNECTING) end(); }, OPEN_MS);
  socket.onopen = () => { clearTimeout(late); on.open(); };
  socket.onclose = end;
  socket.onerror = end;
  socket.onmessage = (event) => {
    if (over) return;
    if (typeof event.data === "string") on.text(JSON.parse(event.data)); else on.speech(event.data);
  };
  return {
    get free() { return socket.readyState === WebSocket.OPEN && socket.bufferedAmount < MOST_WAITING; },
    text(told) { if (socket.readyState === WebSocket.OPEN) socket.send(JSON.stringify(told)); },
    block(buffer) { socket.send(buffer); },
    close: end,
  };
}

const MARK = 0x80000000, MOST_PARTS = 16;

export function fetchLine(on) {
  let over = false, opened = false, parts = [], busy = false;
  const source = new EventSource("/sound/line");
  const end = () => { if (!over) { over = true; source.close(); clearInterval(timer); on.down(); } };
  source.onopen = () => { if (!opened) { opened = true; on.open(); } };
  source.onerror = end;
  source.onmessage = (event) => {
    const told = JSON.parse(event.data);
    if (!told.speech) { on.text(told); return; }
    on.speech(Uint8Array.from(atob(told.speech), (sign) => sign.charCodeAt(0)).buffer);
  };

  async function post() {
    if (busy || over || !parts.length) return;
    busy = true;
    const sent = parts;
    parts = [];
    try {
      const answer = await fetch("/sound/chunk", { method: "POST", body: new Blob(sent), signal: AbortSignal.timeout(OPEN_MS) });
      if (!answer.ok) { end(); return; }
      on.text(await answer.json());
    } catch { end(); }
    busy = false;
  }

  const timer = setInterval(post, CHUNK_MS);
  const add = (content, mark) => {
    const head = new DataView(new ArrayBuffer(4));
    head.setUint32(0, (content.byteLength | mark) >>> 0, true);
    parts.push(head.buffer, content);
  };
  return {
    get free() { return opened && !over && parts.length < 2 * MOST_PARTS; },
    text(told) { add(new TextEncoder().encode(JSON.stringify(told)), MARK); },
    block(buffer) { add(buffer, 0); },
    close: end,
  };
}
