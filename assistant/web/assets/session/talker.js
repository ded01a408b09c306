// The Talk button and listening by itself: when the microphone is open, and which question the words are for.
// Half duplex: while this device speaks the microphone is closed, and it opens a moment after.
import { newKey } from "/assets/common.js";
import { Microphone } from "/assets/microphone.js";

const HELD = 350; // milliseconds from which a press is a hold, not a tap
const GUARD = 300; // milliseconds between the end of our voice and the microphone
const COMPLAIN = 10000; // milliseconds between two low tones where nobody pressed Talk: a radio goes on
const LABELS = { idle: "Talk", opening: "Wait\u2026", listening: "Listening", understanding: "Thinking\u2026" };

// 0 to 1: a bar on the button shows that the microphone hears
function loudness(block) {
  const samples = new Int16Array(block.buffer || block);
  let sum = 0;
  for (const one of samples) sum += (one / 32768) ** 2;
  const decibels = 10 * Math.log10(sum / Math.max(1, samples.length) + 1e-9);
  return Math.max(0, Math.min(1, (decibels + 60) / 50)).toFixed(2);
}

export class Talker {
  // question() gives { turn, prompt } or null; on: { trouble(text), notice(text) }
  constructor(button, link, speech, question, on) {
    this.button = button;
    this.link = link;
    this.speech = speech;
    this.question = question;
    this.on = on;
    this.state = "idle";
    this.free = false;
    this.onHold = false;
    this.heard = { voice: false, words: "" };
    this.chunks = [];
    this.quietSince = 0;
    this.complainedAt = -COMPLAIN;
    this.microphone = new Microphone((sound) => this.sound(sound), (text) => this.lost(text));
    button.addEventListener("pointerdown", (event) => this.press(event));
    for (const name of ["pointerup", "pointercancel"]) button.addEventListener(name, () => this.letGo());
    button.addEventListener("click", (event) => event.detail === 0 && this.tap());
    button.addEventListener("contextmenu", (event) => event.preventDefault());
  }

  show(state) {
    this.state = state;
    this.button.dataset.state = state;
    if (state !== "listening") this.heard = { voice: false, words: "" };
    this.label();
    this.button.setAttribute("aria-pressed", String(state === "listening"));
  }

  // what is going on, in one or two words, and under it what is being heard
  label() {
    const speaking = this.speech.busy;
    const quiet = this.onHold && this.state === "idle" ? "On hold" : LABELS[this.state];
    const name = this.state === "idle" && speaking ? "Speaking\u2026" : this.heard.voice ? "Hearing" : quiet;
    this.button.dataset.ear = this.heard.voice ? "voice" : "quiet";
    this.button.textContent = name;
    const { words } = this.heard;
    if (words) {
      const under = document.createElement("span");
      under.className = "words";
      under.textContent = `\u201c${words}\u201d`;
      this.button.append(under);
    }
  }

  // the machine tells that it hears a voice, and the words so far
  hears(fields) {
    if (fields.id !== this.id || this.state !== "listening") return;
    this.heard = { voice: fields.voice, words: fields.words };
    this.label();
  }

  // the machine found the end of what was said: it thinks, and needs no more sound
  ended(fields) {
    if (fields.id !== this.id || this.state !== "listening") return;
    this.link.speechEnded();
    this.show("understanding");
    this.rest();
  }

  // on hold only 'resume' is answered
  setHeld(held) {
    this.onHold = held;
    this.label();
  }

  press(event) {
    if (event.button !== 0) return;
    this.button.setPointerCapture(event.pointerId);
    if (this.state !== "idle") {
      this.tap();
      return;
    }
    this.pressedAt = performance.now();
    this.pressed = true;
    this.begin(null);
  }

  letGo() {
    if (!this.pressed) return;
    this.pressed = false;
    const held = performance.now() - this.pressedAt >= HELD;
    if (held && this.state === "listening" && this.held !== false) {
      this.decide(true);
      this.finish();
    } else this.decide(false);
  }

  // a tap, or the keyboard: begin, or end what is being said
  tap() {
    if (this.state === "idle") this.begin(false);
    else if (this.state === "listening") this.finish();
  }

  // held: true, false, or null while it is not yet known whether the press is a hold
  async begin(held) {
    const asked = this.question();
    if (asked === null || this.state !== "idle") return;
    this.speech.stop();
    this.held = held;
    this.told = false;
    this.asked = asked;
    this.id = newKey();
    this.chunks = [];
    this.show("opening");
    try {
      await this.microphone.open();
    } catch (error) {
      this.show("idle");
      this.stopFree();
      this.on.trouble(error.message);
      return;
    }
    if (this.state !== "opening") return;
    const now = this.question();
    if (now === null || now.turn !== asked.turn) {
      this.drop();
      return;
    }
    this.show("listening");
    this.microphone.tone(660, 0.06);
    if (this.held === null && this.pressed) this.timer = setTimeout(() => this.decide(this.pressed), HELD);
    else this.decide(this.held === true);
  }

  decide(held) {
    clearTimeout(this.timer);
    if (this.held === null) this.held = held;
    if (this.state !== "listening" || this.told) return;
    this.told = true;
    this.link.beginSpeech({ id: this.id, ...this.asked, held: this.held, chunks: this.chunks });
  }

  sound(block) {
    if (this.state !== "listening" || performance.now() < this.quietSince + GUARD) return;
    this.chunks.push(block);
    this.button.style.setProperty("--level", loudness(block));
    if (this.told) this.link.passOnSpeech();
  }

  finish() {
    if (this.state !== "listening") return;
    this.decide(true);
    this.show("understanding");
    this.link.endSpeech();
    this.rest();
  }

  drop() {
    clearTimeout(this.timer);
    this.link.dropSpeech();
    this.chunks = [];
    if (this.state !== "idle") this.show("idle");
    this.rest();
  }

  // between answers the microphone is closed, unless it listens by itself
  rest() {
    if (!this.free) this.microphone.close();
  }

  lost(text) {
    this.drop();
    this.stopFree();
    this.on.trouble(text);
  }

  // the machine's reply to what was said: its fate, or that nothing was heard
  reply(fields) {
    const last = fields.kind === "fate" || fields.kind === "nothing";
    if (!last || fields.id !== this.id || this.state === "idle") return false;
    this.chunks = [];
    this.show("idle");
    this.rest();
    if (fields.fate === "taken") this.signal(990, 40);
    else if (this.complains(fields)) this.signal(220, [60, 60, 60]);
    return true;
  }

  signal(hertz, pattern) {
    this.microphone.tone(hertz, 0.12);
    if (navigator.vibrate) navigator.vibrate(pattern);
  }

  // not understood is told each time to who pressed Talk; where it listens by itself, for voices only and now and then
  complains(fields) {
    if (!this.free || fields.kind !== "nothing") return true;
    if (!fields.voice || performance.now() < this.complainedAt + COMPLAIN) return false;
    this.complainedAt = performance.now();
    return true;
  }

  setFree(free) {
    this.free = free;
    if (free) this.consider();
    else this.drop();
  }

  stopFree() {
    this.free = false;
    this.microphone.close();
    const box = document.getElementById("free");
    box.checked = false;
    box.dispatchEvent(new Event("change"));
  }

  // the question changed, our voice began or ended, or a reply came: is it time to listen?
  consider() {
    this.button.dataset.voice = this.speech.busy ? "speaking" : "quiet";
    this.label();
    if (this.speech.busy) {
      this.quietSince = Infinity;
      if (this.free && this.state === "listening") this.drop();
      return;
    }
    if (this.quietSince === Infinity) this.quietSince = performance.now();
    const asked = this.question();
    if (this.state === "listening" && (asked === null || asked.turn !== this.asked.turn)) this.drop();
    clearTimeout(this.later);
    if (!this.free || asked === null) return;
    this.later = setTimeout(() => this.free && !this.speech.busy && this.begin(false), GUARD);
  }
}
