// A session's line without a session: what the test hands over arrives as if the machine had sent it.
(() => {
  const lines = [];
  window.answered = [];
  class Line extends EventTarget {
    static OPEN = 1;
    readyState = 0;
    binaryType = "blob";
    bufferedAmount = 0;
    constructor() {
      super();
      lines.push(this);
      setTimeout(() => {
        this.readyState = Line.OPEN;
        this.dispatchEvent(new Event("open"));
      });
    }
    send(text) {
      const fields = typeof text === "string" ? JSON.parse(text) : {};
      if (fields.kind === "answer") window.answered.push(fields.text);
      if (fields.kind !== "hello") return;
      const welcome = { kind: "welcome", epoch: "a", last: 0, hears: true, deaf_because: "", keeps_sound: false };
      setTimeout(() => this.take(welcome));
    }
    take(fields) {
      this.dispatchEvent(new MessageEvent("message", { data: JSON.stringify(fields) }));
    }
    close() {
      this.readyState = 3;
    }
  }
  window.WebSocket = Line;
  // a frame later everything is laid out and drawn, and what watches the sizes has seen them
  const drawn = () => new Promise((done) => requestAnimationFrame(() => setTimeout(done)));
  window.shown = async (fields) => {
    lines.at(-1).take({ kind: "standing", seq: fields.turn, ...fields });
    await drawn();
    const turn = Number(document.getElementById("ask").dataset.turn);
    if (turn !== fields.turn) throw new Error(`turn ${turn} is shown, not ${fields.turn}`);
  };
})();
