// Drawing what stands: the parts of the session, the last reading on its line, the shares of the suspects.
import { fill, make, sentence } from "/assets/common.js";

const SVG = "http://www.w3.org/2000/svg";

// one more screen's way in; the code beside it says the same to who cannot point a camera
export function drawPairing(place, told) {
  const picture = shape("svg", { viewBox: `0 0 ${told.size} ${told.size}`, role: "img", "aria-label": "QR code that pairs one phone" });
  picture.append(shape("rect", { class: "light", width: told.size, height: told.size }), shape("path", { class: "dark", d: told.path }));
  fill(place, picture);
}

function shape(tag, attributes, text = null) {
  const element = document.createElementNS(SVG, tag);
  for (const [name, value] of Object.entries(attributes)) element.setAttribute(name, value);
  if (text !== null) element.textContent = text;
  return element;
}

// A picture that came as shapes: tag, attributes and text of each. Only these tags are made, and no attribute that acts.
const TAGS = ["rect", "line", "polygon", "polyline", "circle", "text"];

function picture(one) {
  const made = shape("svg", { class: "hands", viewBox: one.box, "aria-hidden": "true" });
  for (const [tag, attributes, text] of one.shapes) {
    if (!TAGS.includes(tag)) continue;
    const kept = Object.entries(attributes).filter(([name]) => !/^on|href|style/i.test(name));
    made.append(shape(tag, Object.fromEntries(kept), text || null));
  }
  return made;
}

export function drawPictures(part, box, glance, pictures) {
  part.hidden = pictures.length === 0;
  fill(box, ...pictures.map((one) => make("figure", {},
    picture(one), make("figcaption", {}, make("b", { text: `${one.title}: ` }), one.told))));
  const first = pictures.find((one) => one.kind !== "meter");
  fill(glance, first ? picture(first) : null, first ? make("span", { text: "Where your hands go" }) : null);
}

export function drawPhases(list, phase) {
  fill(list, ...phase.names.map((name, number) => make("li", {
    text: name, class: number < phase.at ? "past" : null, "aria-current": number === phase.at ? "step" : null,
  })));
}

// A vertical line: the limits are marks on it, the window between them is banded, and the lead hangs at the reading.
function sounding(one) {
  const TOP = 14, DEEP = 150, X = 26;
  const known = [one.value, one.low, one.high].filter((value) => value !== null);
  let low = Math.min(...known), high = Math.max(...known);
  const room = (high - low) * 0.22 || Math.abs(high) * 0.2 || 1;
  low -= room;
  high += room;
  const y = (value) => TOP + ((high - value) / (high - low)) * (DEEP - TOP); // higher values stand higher
  const picture = shape("svg", { class: "drawn", viewBox: "0 0 140 172", role: "img", "aria-label": words(one) });
  const at = y(one.value);
  picture.append(shape("line", { class: "rope", x1: X, y1: 2, x2: X, y2: Math.max(at, DEEP) }));
  const from = one.high === null ? TOP : y(one.high), to = one.low === null ? DEEP : y(one.low);
  picture.append(shape("line", { class: "window", x1: X, y1: from, x2: X, y2: to }));
  for (const limit of [one.low, one.high]) {
    if (limit === null) continue;
    const mark = y(limit);
    picture.append(shape("path", { class: "tag", d: `M${X - 12} ${mark - 3}h36v6h-36z` }));
    const clear = Math.abs(mark - at) > 17 ? mark + 5 : mark + (mark < at ? -8 : 22);
    picture.append(shape("text", { x: X + 32, y: clear }, String(limit)));
  }
  if (one.spread) {
    const half = Math.min(60, (one.spread / (high - low)) * (DEEP - TOP));
    picture.append(shape("path", { class: "spread", d: `M${X - 8} ${at - half}h16M${X} ${at - half}V${at + half}M${X - 8} ${at + half}h16` }));
  }
  picture.append(shape("path", { class: "lead", d: `M${X - 5} ${at - 3}h10l6 20h-22z` }));
  return picture;
}

function words(one) {
  return `${one.text}${one.verdict ? `, ${one.verdict}` : ""}${one.limits ? `, limits ${one.limits}` : ""}`;
}

export function drawLast(part, box, one) {
  part.hidden = one === null;
  if (one === null) return;
  const drawn = one.value !== null && (one.low !== null || one.high !== null);
  box.className = one.grade || "plain";
  fill(box, drawn ? sounding(one) : null, sign(one.grade || "plain"), make("div", { class: "told" },
    make("p", { class: "value", text: one.text.replace(/^([\d.,/\u2212-]+) (\S+)$/, "$1\u00a0$2") }), // a figure keeps its unit
    one.verdict ? make("p", { class: `verdict ${one.grade}`, text: one.verdict }) : null,
    make("p", { class: "of", text: sentence(one.title) }),
    one.limits ? make("p", { class: "of wide", text: `Limits ${one.limits}` }) : null,
    one.remark ? make("p", { class: "of note", text: one.remark }) : null));
}

// a shape beside the color of each verdict, told apart without color: disc, square, triangle, and a ring for none
function sign(grade) {
  const picture = shape("svg", { class: `shape ${grade}`, viewBox: "0 0 24 24", "aria-hidden": "true" });
  const outlines = {
    good: ["M12 1a11 11 0 1 0 .01 0z", "M6.5 12.5l4 4 7-8"], bad: ["M1 1h22v22h-22z", "M7 7l10 10M17 7l-10 10"],
    close: ["M12 1l12 22h-24z", "M12 9v6M12 19v.5"], plain: ["M12 3a9 9 0 1 0 .01 0z", ""],
  };
  const [outline, inside] = outlines[grade];
  picture.append(shape("path", { d: outline }));
  if (inside) picture.append(shape("path", { class: "in", d: inside }));
  return picture;
}

export function drawSuspects(part, list, suspects) {
  part.hidden = suspects.length === 0;
  fill(list, ...suspects.map((one) => {
    const bar = shape("svg", { viewBox: "0 0 100 8", preserveAspectRatio: "none", "aria-hidden": "true" });
    bar.append(shape("rect", { class: "part", x: 0, y: 0, width: one.percent, height: 8 }),
      shape("rect", { class: "all", x: 0, y: 0, width: 100, height: 8 }));
    return make("li", {}, make("p", { class: "share" }, make("span", { text: sentence(one.title) }),
      make("span", { text: `${one.percent}%` })), bar);
  }));
}
