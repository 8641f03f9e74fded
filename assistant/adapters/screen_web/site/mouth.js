// Plays our speech as it comes, tells how far it is, and falls silent at once when it is cut or the line is down.
const SOON_S = 0.02;

export class Mouth {
  constructor(context) {
    this.context = context;
    this.rate = 0;
    this.cuts = 0;
    this.clear(0);
  }

  clear(place) {
    for (const one of this.playing ?? []) one.source.stop();
    this.playing = [];
    this.done = place; // what has been played for certain
    this.has = place;
    this.ends = 0;
  }

  cutTo(cuts) {
    if (cuts === this.cuts) return;
    this.cuts = cuts;
    this.clear(0);
  }

  take(buffer) {
    const head = new DataView(buffer);
    this.cutTo(head.getUint32(0, true));
    const at = head.getUint32(4, true), samples = new Int16Array(buffer, 8);
    if (at !== this.has || !this.rate) return; // it comes again, or came already
    const sound = this.context.createBuffer(1, samples.length, this.rate);
    const into = sound.getChannelData(0);
    for (let i = 0; i < samples.length; i++) into[i] = samples[i] / 32768;
    const source = this.context.createBufferSource();
    source.buffer = sound;
    source.connect(this.context.destination);
    const start = Math.max(this.context.currentTime + SOON_S, this.ends);
    source.start(start);
    this.ends = start + sound.duration;
    this.has = at + samples.length;
    this.playing.push({ source, at, start, frames: samples.length });
  }

  get played() {
    const now = this.context.currentTime - (this.context.outputLatency || 0);
    while (this.playing.length) {
      const one = this.playing[0];
      const frames = Math.min(one.frames, Math.max(0, Math.floor((now - one.start) * this.rate)));
      this.done = Math.max(this.done, one.at + frames);
      if (frames < one.frames) break;
      this.playing.shift();
    }
    return this.done;
  }

  // What the program does not know of is played elsewhere.
  hush() { this.clear(this.played); }
}
