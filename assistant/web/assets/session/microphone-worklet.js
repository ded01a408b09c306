// Sound from the microphone as 16-bit mono at 16 kHz, in blocks of 64 milliseconds: what is short of a block waits.

const RATE = 16000;
const BLOCK = 1024;
const TAPS = 64;

class Microphone extends AudioWorkletProcessor {
  constructor() {
    super();
    this.ratio = sampleRate / RATE;
    this.block = new Int16Array(BLOCK);
    this.filled = 0;
    this.past = new Float32Array(TAPS);
    this.at = 0;
    this.next = 0;
    this.filter = this.ratio === 1 ? null : lowPass(7200 / sampleRate);
  }

  process(inputs) {
    const channels = inputs[0];
    if (!channels.length) return true;
    const length = channels[0].length;
    for (let i = 0; i < length; i += 1) {
      let sum = 0;
      for (const channel of channels) sum += channel[i];
      this.sample(sum / channels.length);
    }
    return true;
  }

  sample(value) {
    if (this.filter === null) {
      this.put(value);
      return;
    }
    this.past[this.at % TAPS] = value;
    this.at += 1;
    if (this.at < this.next) return;
    this.next += this.ratio;
    let sum = 0;
    for (let tap = 0; tap < TAPS; tap += 1) sum += this.filter[tap] * this.past[(this.at + tap) % TAPS];
    this.put(sum);
  }

  put(value) {
    this.block[this.filled] = Math.max(-32768, Math.min(32767, Math.round(value * 32767)));
    this.filled += 1;
    if (this.filled < BLOCK) return;
    const whole = this.block;
    this.block = new Int16Array(BLOCK);
    this.filled = 0;
    this.port.postMessage(whole.buffer, [whole.buffer]);
  }
}

// Hann-windowed sinc; the cutoff is a share of the sample rate.
function lowPass(cutoff) {
  const taps = new Float32Array(TAPS);
  let sum = 0;
  for (let i = 0; i < TAPS; i += 1) {
    const x = i - (TAPS - 1) / 2;
    taps[i] = (Math.sin(2 * Math.PI * cutoff * x) / (Math.PI * x)) * (0.5 - 0.5 * Math.cos((2 * Math.PI * (i + 0.5)) / TAPS));
    sum += taps[i];
  }
  return taps.map((tap) => tap / sum);
}

registerProcessor("leadsman-microphone", Microphone);
