// The line to the session: what was missed is asked for, and an answer is kept until its fate is known.
// After a restart of the server turns begin anew. An answer then counts for what it was made for: for the same prompt,
// with as many answers in the record. Where the record went on, its talk says what was logged instead.

const PATIENCE = 4000; // milliseconds without a sign of life after which the line is taken for dead
const KEEP = "leadsman-unsent-";
const BLOCKS = 600; // of sound kept for a line that comes back, 38 seconds: more than the longest answer

export class Link {
  // on: { state(name), welcome(fields, fresh), message(fields), reply(fields), gone(text), check() }
  constructor(session, on) {
    this.session = session;
    this.on = on;
    this.epoch = "";
    this.seen = 0;
    this.tries = 0;
    this.socket = null;
    this.speech = null;
    this.now = null; // turn, prompt and answers in the record, as the session stands in this run of it
    this.logged = []; // what stands in the record as said by people, in order
    this.unsent = new Map();
    this.probe = 0;
    this.timer = 0;
    this.over = false;
    for (const one of this.stored()) this.unsent.set(one.id, one);
    document.addEventListener("visibilitychange", () => document.visibilityState === "visible" && this.wake());
    window.addEventListener("online", () => this.wake());
    window.addEventListener("pageshow", () => this.wake());
  }

  get open() {
    return this.socket !== null && this.socket.readyState === WebSocket.OPEN && this.welcomed;
  }

  connect() {
    clearTimeout(this.timer);
    this.drop();
    this.welcomed = false;
    this.since = performance.now();
    const scheme = location.protocol === "https:" ? "wss:" : "ws:";
    const socket = new WebSocket(`${scheme}//${location.host}/api/session/${encodeURIComponent(this.session)}`);
    this.socket = socket;
    socket.addEventListener("open", () => socket.send(JSON.stringify({ kind: "hello", epoch: this.epoch, after: this.seen })));
    socket.addEventListener("message", (event) => socket === this.socket && this.take(JSON.parse(event.data)));
    socket.addEventListener("close", (event) => socket === this.socket && this.lost(event));
  }

  // after sleep a line may look alive and be dead
  wake() {
    if (this.over) return;
    if (!this.open) {
      if (this.socket !== null && performance.now() - this.since < PATIENCE) return;
      this.tries = 0;
      this.connect();
      return;
    }
    clearTimeout(this.probe);
    this.send({ kind: "ping" });
    this.probe = setTimeout(() => this.connect(), PATIENCE);
  }

  drop() {
    const socket = this.socket;
    this.socket = null;
    if (socket !== null) socket.close();
  }

  lost(event) {
    clearTimeout(this.probe);
    this.socket = null;
    if (event.code === 4404) {
      this.over = true;
      this.on.gone();
      return;
    }
    if (event.code === 4401 || this.tries % 3 === 1) this.on.check();
    this.later();
  }

  // try again, and less often as time passes
  later() {
    this.over = false;
    this.on.state("away");
    this.tries += 1;
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.connect(), Math.min(5000, 250 * 2 ** this.tries));
  }

  // the session was taken up again
  again() {
    this.over = false;
    this.tries = 0;
    this.connect();
  }

  take(fields) {
    if (fields.kind === "welcome") this.welcome(fields);
    else if (fields.kind === "pong") clearTimeout(this.probe);
    else if (fields.seq !== undefined) {
      if (fields.seq <= this.seen) return;
      this.seen = fields.seq;
      if (fields.kind === "talk" && fields.past && fields.who === "you") this.logged.push(fields.text);
      this.on.message(fields);
      if (fields.kind === "standing") this.stand(fields);
    } else if (fields.fate !== "away") { // a machine that closes has not taken it: it is kept
      if (fields.kind === "fate") this.forget(fields.id);
      if (this.speech !== null && fields.id === this.speech.id && (fields.kind === "fate" || fields.kind === "nothing")) this.speech = null;
      this.on.reply(fields);
    }
  }

  welcome(fields) {
    this.tries = 0;
    this.welcomed = true;
    const fresh = fields.epoch !== this.epoch;
    if (fresh) {
      this.seen = 0;
      this.now = null;
      this.logged = [];
    }
    this.epoch = fields.epoch;
    this.on.state("here");
    this.on.welcome(fields, fresh);
    for (const one of this.unsent.values()) if (one.epoch === this.epoch) this.give(one);
    if (this.speech !== null && this.speech.epoch === this.epoch) this.resendSpeech();
  }

  // how the session stands in this run: what was kept from the run before it is given now, or its fate is told
  stand(fields) {
    const first = this.now === null;
    this.now = fields;
    if (!first) return;
    for (const one of [...this.unsent.values()]) {
      if (one.epoch === this.epoch) continue;
      if (!this.fits(one.message.prompt, one.answered)) {
        this.forget(one.id);
        this.on.reply({ kind: "fate", id: one.id, text: one.message.text, ...this.instead(one.answered, one.message.text) });
        continue;
      }
      one.epoch = this.epoch;
      one.message.turn = fields.turn;
      this.store();
      this.give(one);
    }
    const { speech } = this;
    if (speech === null || speech.epoch === this.epoch) return;
    if (this.fits(speech.prompt, speech.answered)) {
      Object.assign(speech, { epoch: this.epoch, turn: fields.turn });
      this.resendSpeech();
    } else {
      this.speech = null;
      this.on.reply({ kind: "fate", id: speech.id, ...this.instead(speech.answered, "") });
    }
  }

  fits(prompt, answered) {
    return prompt === this.now.prompt && answered === this.now.answered;
  }

  // the answer that the record has in its place: perhaps this one, logged before the line broke
  instead(answered, text) {
    const words = this.logged[answered] || "";
    if (!words) return { fate: "late", words: "" };
    return { fate: words === text.split(/\s+/).join(" ") ? "taken" : "other", words };
  }

  answer(id, turn, prompt, text) {
    // without a line the last word counts: nobody has seen the ones before it
    for (const one of [...this.unsent.values()]) if (!this.open && !one.sent && one.message.turn === turn) this.unsent.delete(one.id);
    const message = { kind: "answer", id, turn, prompt, text };
    const one = { id, epoch: this.epoch, answered: this.now?.answered, sent: false, message };
    this.unsent.set(id, one);
    this.store();
    this.give(one);
  }

  give(one) {
    if (!this.open) return;
    if (!one.sent) {
      one.sent = true;
      this.store();
    }
    this.send(one.message);
  }

  textOf(id) {
    const one = this.unsent.get(id);
    return one ? one.message.text : "";
  }

  beginSpeech(speech) {
    this.speech = { ...speech, epoch: this.epoch, answered: this.now?.answered, sent: 0 };
    if (this.open) this.startSpeech();
  }

  startSpeech() {
    const { id, turn, prompt, held } = this.speech;
    this.send({ kind: "speak", id, turn, prompt, held });
    this.speech.sent = 0;
    this.passOnSpeech();
  }

  passOnSpeech() {
    if (this.speech === null) return;
    const { chunks } = this.speech;
    if (this.open) while (this.speech.sent < chunks.length) this.socket.send(chunks[this.speech.sent++]);
    // listening by itself goes on for hours: what lies before the longest answer was quiet
    const old = Math.max(0, chunks.length - BLOCKS);
    chunks.splice(0, old);
    this.speech.sent = Math.max(0, this.speech.sent - old);
  }

  endSpeech() {
    if (this.speech === null) return;
    this.speech.ended = true;
    this.passOnSpeech();
    this.send({ kind: "spoken" });
  }

  speechEnded() {
    if (this.speech !== null) this.speech.ended = true;
  }

  dropSpeech() {
    if (this.speech === null) return;
    this.speech = null;
    this.send({ kind: "unspoken" });
  }

  resendSpeech() {
    this.startSpeech();
    if (this.speech.ended) this.send({ kind: "spoken" });
  }

  send(fields) {
    if (this.open) this.socket.send(JSON.stringify(fields));
  }

  forget(id) {
    this.unsent.delete(id);
    this.store();
  }

  // what was not sent also outlives a page that the phone threw away to save memory
  store() {
    try {
      sessionStorage.setItem(KEEP + this.session, JSON.stringify([...this.unsent.values()]));
    } catch {
      // storage may be switched off: the answer is still kept in this page
    }
  }

  stored() {
    try {
      return JSON.parse(sessionStorage.getItem(KEEP + this.session) || "[]");
    } catch {
      return [];
    }
  }
}
