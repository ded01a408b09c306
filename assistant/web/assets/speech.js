// This device's own voice, as an option: only voices that speak without asking a service elsewhere.

const STALL = 12000; // a voice that says nothing for so long is given up, so that the session goes on

export class Speech {
  constructor(onChange) {
    this.onChange = onChange;
    this.on = false;
    this.pending = new Set();
    this.voice = null;
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

  get possible() {
    return this.voice !== null;
  }

  get busy() {
    return this.pending.size > 0;
  }

  say(text) {
    if (!this.on || !this.possible || !text) return;
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
    this.onChange();
  }

  stop() {
    if (!window.speechSynthesis) return;
    if (!this.busy) return;
    speechSynthesis.cancel();
    this.pending.clear();
    this.onChange();
  }
}
