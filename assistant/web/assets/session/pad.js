// Keys for a reading, four in a row and each as large as a glove needs: digits, what the unit needs beside them, Back and
// Send. What a meter shows in place of a number has a key among them where one is free; the rest, and the keyboard of
// this device, are keys behind one more.
import { fill, make } from "/assets/common.js";

const NAMES = { ".": "point", "-": "minus", "/": "over, as in seven eighths", " ": "space, as in one and a half", k: "kilo" };
const SHOWN = { "-": "\u2212", " ": "space" };
const LETTERS = { label: "ABC", key: "Letters", aria: "Letters: the keyboard of this device" };
const NUMBERS = { label: "123", key: "Numbers", aria: "Numbers: back to the number keys" };
const FREE = 2; // keys of the last column that are neither Back nor Send

export class Pad {
  // acts: ``press`` takes a key of the pad, ``answer`` a button and its words, ``settling`` tells whether taps are too early
  constructor(box, acts) {
    this.box = box;
    this.acts = acts;
  }

  // ``instead``: the words that answer in place of a number, a yes and a no or what a meter shows
  draw(keys, instead, others = false) {
    this.drawn = [keys, instead];
    const needed = keys.filter((one) => one !== "-");
    const minus = keys.filter((one) => one === "-");
    const words = instead.length > FREE ? instead.slice(0, 1) : instead;
    const [first, second] = [...needed, ...words, ...minus];
    const left = [...[...needed, ...words, ...minus].slice(FREE), ...instead.slice(words.length)];
    const more = { label: "Other", key: "Others", aria: `Other: ${[...left.map(nameOf), "letters"].join(", ")}` };
    // no key stays blank: one that has no second under it is twice as high
    const shown = others ? [...left, LETTERS, NUMBERS] : [
      "1", "2", "3", { label: "Back", key: "Back", aria: "Take the last one back" },
      "4", "5", "6", ...(second ? [first] : first ? [{ ...keyOf(first), tall: true }] : []),
      "7", "8", "9", ...(second ? [second] : []),
      ".", "0", left.length ? more : LETTERS, { label: "Send", key: "Send", main: true },
    ];
    this.box.classList.toggle("others", others);
    fill(this.box, ...shown.map((one) => this.#made(keyOf(one))));
  }

  turn(others) {
    this.draw(...this.drawn, others);
  }

  // a key of the pad, or a word that answers at once: that takes no tap that was meant for the question before
  #made(one) {
    const kind = [one.label.length > 1 ? "word" : "", one.main ? "main" : "", one.tall ? "tall" : ""].filter(Boolean).join(" ");
    const act = one.say ? (event) => this.acts.answer(event.currentTarget, one.say) : () => this.acts.press(one.key);
    return make("button", {
      type: "button", text: one.label, class: kind || null, "aria-label": one.aria,
      "aria-disabled": one.say && this.acts.settling() ? "true" : null, on: { click: act },
    });
  }
}

function keyOf(one) {
  return typeof one === "string" ? { label: SHOWN[one] || one, key: one, aria: NAMES[one] } : one;
}

function nameOf(one) {
  return typeof one === "string" ? NAMES[one] : one.label;
}
