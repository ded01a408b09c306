// This device's microphone. Nothing is recognised here: the sound goes to the machine that serves the page.

const REFUSED = "The microphone is not allowed for this page. Allow it in the browser's settings for this site, then tap Talk.";

export class Microphone {
  // onSound(ArrayBuffer) for each block, onLost(text) when the microphone goes away
  constructor(onSound, onLost) {
    this.onSound = onSound;
    this.onLost = onLost;
    this.context = null;
    this.stream = null;
  }

  static problem() {
    if (!window.isSecureContext) return "A browser gives its microphone only to an encrypted page.";
    if (!navigator.mediaDevices || !window.AudioWorkletNode) return "This browser has no microphone for pages.";
    return "";
  }

  get isOpen() {
    return this.stream !== null;
  }

  async open() {
    if (this.stream !== null) return;
    let stream;
    try {
      stream = await navigator.mediaDevices.getUserMedia({
        audio: { channelCount: 1, echoCancellation: false, noiseSuppression: false, autoGainControl: false },
      });
    } catch (error) {
      if (error.name === "NotAllowedError") throw new Error(REFUSED);
      if (error.name === "NotFoundError") throw new Error("No microphone was found on this device. Typed answers work.");
      throw new Error("The microphone cannot be opened: another program may use it. Typed answers work.");
    }
    try {
      await this.attach(stream);
    } catch (error) {
      for (const track of stream.getTracks()) track.stop();
      throw error;
    }
  }

  async attach(stream) {
    const track = stream.getAudioTracks()[0];
    track.addEventListener("ended", () => {
      if (this.stream !== stream) return;
      this.close();
      this.onLost("The microphone went away. Plug it in again and tap Talk, or type. We stay at this question.");
    });
    const context = await this.ready(stream);
    const source = context.createMediaStreamSource(stream);
    const node = new AudioWorkletNode(context, "leadsman-microphone", { numberOfOutputs: 0 });
    node.port.onmessage = (event) => this.stream === stream && this.onSound(event.data);
    source.connect(node);
    this.source = source;
    this.node = node;
    this.stream = stream;
  }

  async ready(stream) {
    if (this.context === null) {
      let context = new AudioContext({ sampleRate: 16000 });
      try {
        context.createMediaStreamSource(stream).disconnect();
      } catch {
        // some browsers do not bring a microphone to another rate: the worklet does it then
        await context.close();
        context = new AudioContext();
      }
      await context.audioWorklet.addModule("/assets/microphone-worklet.js");
      this.context = context;
    }
    await this.context.resume();
    return this.context;
  }

  close() {
    if (this.stream === null) return;
    const stream = this.stream;
    this.stream = null;
    this.source.disconnect();
    this.node.port.onmessage = null;
    for (const track of stream.getTracks()) track.stop();
  }

  // a short tone: high for heard, low for not understood
  tone(hertz, seconds = 0.09) {
    if (this.context === null || this.context.state !== "running") return;
    const start = this.context.currentTime;
    const level = this.context.createGain();
    level.gain.setValueAtTime(0.25, start);
    level.gain.exponentialRampToValueAtTime(0.001, start + seconds);
    const source = this.context.createOscillator();
    source.frequency.value = hertz;
    source.connect(level).connect(this.context.destination);
    source.start(start);
    source.stop(start + seconds);
  }
}
