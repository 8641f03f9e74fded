// In the browser's sound thread: samples in blocks of a fixed length, as 16-bit numbers.
class Ear extends AudioWorkletProcessor {
  constructor(options) {
    super();
    this.frames = options.processorOptions.frames;
    this.block = new Int16Array(this.frames);
    this.at = 0;
  }

  process(inputs) {
    const samples = inputs[0][0];
    if (!samples) return true;
    for (const sample of samples) {
      this.block[this.at++] = Math.max(-32768, Math.min(32767, Math.round(sample * 32768)));
      if (this.at === this.frames) {
        this.port.postMessage(this.block.buffer, [this.block.buffer]);
        this.block = new Int16Array(this.frames);
        this.at = 0;
      }
    }
    return true;
  }
}

registerProcessor("ear", Ear);
