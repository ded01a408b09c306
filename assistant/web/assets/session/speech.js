// The voice of this screen: the browser's own where it has one that asks no service elsewhere, else the voice of the
// machine that serves the page, sentence by sentence as sound.

const STALL = 12000; // a voice that says nothing for so long is given up, so that the session goes on

export class Speech {
  // address(seq): where the machine gives a sentence as sound
  constructor(onChange, address = null) {
    this.onChange = onChange;
    this.address = address;
    this.on = false;
    this.pending = new Set();
    this.voice = null;
    this.machine = false;
    this.queue = [];
    this.source = null;
    this.context = null;
  }

  begin() {
    if (!window.speechSynthesis) return;
    this.choose();
    speechSynthesis.addEventListener("voiceschanged", () => this.choose());
  }

  choose() {
    const local = speechSynthesis.getVoices().filter((voice) => voice.localService && voice.lang.startsWith("en"));
    this.voice = local.find((voice) => voice.lang === "en-US") || local[0] || null;
    this.onChange();
  }

  // the machine that serves the page can speak, or not
  offer(machine) {
    this.machine = machine && this.address !== null && window.AudioContext !== undefined;
    this.onChange();
  }

  get possible() {
    return this.voice !== null || this.machine;
  }

  get own() {
    return this.voice !== null;
  }

  get busy() {
    return this.pending.size > 0;
  }

  say(text, seq) {
    if (!this.on || !this.possible || !text) return;
    if (this.own) this.sayHere(text);
    else this.sayFromThere(seq);
    this.onChange();
  }

  sayHere(text) {
    const words = new SpeechSynthesisUtterance(text);
    words.voice = this.voice;
    words.lang = this.voice.lang;
    const end = () => {
      clearTimeout(words.stall);
      if (this.pending.delete(words)) this.onChange();
    };
    words.addEventListener("end", end);
    words.addEventListener("error", end);
    words.addEventListener("start", () => {
      clearTimeout(words.stall);
      words.stall = setTimeout(end, STALL + text.length * 120);
    });
    words.stall = setTimeout(end, STALL * (1 + this.pending.size));
    this.pending.add(words);
    speechSynthesis.speak(words);
  }

  // the sound is fetched at once, and played when those before it are over
  sayFromThere(seq) {
    const sound = fetch(this.address(seq)).then((answer) => (answer.ok ? answer.arrayBuffer() : null)).catch(() => null);
    const item = { sound };
    this.pending.add(item);
    this.queue.push(item);
    if (this.queue.length === 1) this.playAll();
  }

  async playAll() {
    while (this.queue.length) {
      const [item] = this.queue;
      await Promise.race([this.play(item), new Promise((done) => { item.stall = setTimeout(done, 4 * STALL); })]);
      clearTimeout(item.stall);
      if (this.queue[0] === item) this.queue.shift();
      if (this.pending.delete(item)) this.onChange();
    }
  }

  async play(item) {
    try {
      const bytes = await item.sound;
      if (bytes === null || !this.pending.has(item)) return;
      this.context ??= new AudioContext();
      await this.context.resume();
      const sound = await this.context.decodeAudioData(bytes);
      if (!this.pending.has(item)) return;
      await new Promise((done) => {
        this.source = this.context.createBufferSource();
        this.source.buffer = sound;
        this.source.connect(this.context.destination);
        this.source.addEventListener("ended", done);
        this.source.start();
      });
    } catch {
      // what cannot be spoken stands on the screen
    } finally {
      this.source = null;
    }
  }

  stop() {
    if (!this.busy) return;
    if (window.speechSynthesis) speechSynthesis.cancel();
    this.pending.clear();
    this.queue.length = Math.min(this.queue.length, 1); // the one that plays ends by itself
    this.source?.stop();
    this.onChange();
  }
}
