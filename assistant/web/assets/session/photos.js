// Photos from this device: made smaller here, sent once, shown, erased. The pixels alone are sent.
import { ask, fill, make, newKey } from "/assets/common.js";

const SIDE = 2000; // pixels of the longer side as it is sent
const QUALITY = 0.85;
const MOST = 12e6; // bytes that the machine takes

// the photo drawn anew: smaller, turned upright, and without what the camera wrote beside it
async function shrunk(file) {
  const picture = await createImageBitmap(file);
  const scale = Math.min(1, SIDE / Math.max(picture.width, picture.height));
  const canvas = document.createElement("canvas");
  canvas.width = Math.max(1, Math.round(picture.width * scale));
  canvas.height = Math.max(1, Math.round(picture.height * scale));
  canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
  picture.close();
  const made = await new Promise((done) => { canvas.toBlob(done, "image/jpeg", QUALITY); });
  if (made === null) throw new Error("not drawn");
  return made;
}

export class Photos {
  // parts: { take, of, state, again, list }; standing() gives the session as it stands
  constructor(session, parts, standing) {
    this.session = session;
    this.parts = parts;
    this.standing = standing;
    this.waiting = null;
    this.shown = "";
    parts.take.addEventListener("change", () => this.taken());
    parts.again.addEventListener("click", () => this.send());
  }

  tell(text, again = false) {
    this.parts.state.textContent = text;
    this.parts.again.hidden = !again;
  }

  async taken() {
    const [file] = this.parts.take.files;
    this.parts.take.value = "";
    const now = this.standing();
    if (!file || now === null) return;
    const reading = this.parts.of.value === "last" && now.last ? String(now.last.number) : "";
    this.tell("Making it smaller\u2026");
    let body = file;
    try {
      body = await shrunk(file);
    } catch {
      if (file.size > MOST) {
        this.tell("This browser cannot read that photo, and it is too large to send as it is.");
        return;
      }
    }
    this.waiting = { body, where: new URLSearchParams({ key: newKey(), turn: now.turn, reading }) };
    await this.send();
  }

  // the same photo under the same name: sent twice it is kept once
  async send() {
    if (this.waiting === null) return;
    const { body, where } = this.waiting;
    this.tell("Sending\u2026");
    let answer;
    try {
      answer = await fetch(`/api/photo/${encodeURIComponent(this.session)}?${where}`, { method: "POST", body });
    } catch {
      this.tell("No line just now. The photo is kept on this page only; leave it open.", true);
      return;
    }
    const told = await answer.json().catch(() => ({}));
    if (answer.ok) {
      this.waiting = null;
      this.tell("Kept.");
    } else this.tell(told.error || "That did not work.", answer.status >= 429);
  }

  show(photos, last) {
    const reading = this.parts.of.querySelector("option[value=last]");
    reading.disabled = !last;
    reading.textContent = last ? `The last reading: ${last.title}` : "The last reading";
    const names = photos.map((one) => one.name).join();
    if (names === this.shown) return; // a picture that is being looked at stays
    this.shown = names;
    fill(this.parts.list, ...photos.map((one) => this.item(one)));
  }

  item(one) {
    const erase = make("button", { type: "button", class: "quiet", text: "Erase", "aria-label": `Erase the photo of ${one.of}` });
    erase.addEventListener("click", async () => {
      if (erase.dataset.sure !== "yes") {
        erase.dataset.sure = "yes";
        erase.textContent = "Erase for good?";
        return;
      }
      try {
        await ask("/api/erase-photo", { id: this.session, name: one.name });
        this.tell("Erased. The record says that there was one.");
      } catch (error) {
        this.tell(error.message);
      }
    });
    const address = `/record/${encodeURIComponent(this.session)}/photo/${encodeURIComponent(one.name)}`;
    return make("li", {}, make("img", { src: address, alt: `Photo of ${one.of}`, loading: "lazy" }), make("span", { text: one.of }), erase);
  }
}
