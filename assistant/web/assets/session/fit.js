// How the session stands on its screen: the size of the words, what has room beside them, the view from the floor.
import { edgeOfRail, look } from "/assets/unread.js";

const FEW = 17; // characters' heights in a width or a height in which a session cannot stand without scrolling
const LOW = 544; // CSS pixels: lower than this the keys stand beside the words
export const DESK = 992; // CSS pixels: from here on the rest stands beside the question
const LEGIBLE = 1; // of a drawing's own size, 11 px letters: smaller its words could not be read
const NARROWEST = 0.6; // of a letter's own width: narrower it could not be read
const MORE_ON_FLOOR = ["with-limits", "with-question", "with-leads"];
const LARGER = [1.5, 1.36, 1.24, 1.12];
const SIZES = [1, 0.94, 0.88, 0.82, 0.76, 0.7, 0.65, 0.6, 0.56];
const USUAL = 17.5; // CSS pixels of the device's letters, from which on they are large
const SMALLER = [0.52, 0.48, 0.44]; // where the device's own letters are large

const by = (id) => document.getElementById(id);

// The words get smaller, step by step, until all of them are seen at once. Where the device's text is so large that
// this cannot be, the page scrolls: place, question, limits and last reading are seen first, keys and the rest below.
export function fit() {
  const rem = parseFloat(getComputedStyle(document.documentElement).fontSize);
  const on = document.body.classList.contains("floor");
  const little = window.innerWidth < FEW * rem || window.innerHeight < FEW * rem;
  const stands = fitAs(!on && little, on);
  if (!stands && !on && rem > USUAL) fitAs(true, on);
  if (on) lieWithKeys(by("tell"));
  else glance(by("tell"));
  look();
}

// true where all of it is seen
function fitAs(large, on) {
  const box = by("tell");
  const page = document.documentElement;
  const wide = window.innerWidth > window.innerHeight;
  const low = window.innerHeight < LOW && window.innerWidth < DESK;
  document.body.classList.toggle("large", large);
  document.body.classList.toggle("sideways", !large && wide && low);
  by("glance").classList.add("named");
  by("glance").hidden = !by("glance").firstChild || on || large || !by("hands").hidden;
  const rail = window.innerHeight - edgeOfRail();
  page.style.setProperty("--rail", `${rail}px`);
  page.style.setProperty("--head", `${document.querySelector(".head").offsetHeight}px`);
  const kept = getComputedStyle(by("enter")).position === "sticky" ? by("enter").offsetHeight : 0;
  const bottom = window.innerHeight - rail - kept;
  const musts = ["last-part", "found", "place", "caution", "prompt", "limits"].map(by);
  const end = () => Math.max(...musts.map((one) => one.getBoundingClientRect().bottom)) + window.scrollY;
  // a figure with its unit is never cut
  const whole = () => [...document.querySelectorAll("#last .value, #last .verdict")].every((one) => one.scrollWidth <= one.clientWidth);
  const stands = () => (on || whole()) && (large ? end() <= bottom && page.scrollWidth <= page.clientWidth : box.scrollHeight <= box.clientHeight);
  const wanted = on || large ? 0 : drawingRoom(box);
  const rem = parseFloat(getComputedStyle(page).fontSize);
  // letters that the device sets larger may get a little smaller before a reading has to be scrolled
  const sizes = large ? [...SIZES, ...SMALLER] : [...LARGER, ...SIZES, ...(rem > USUAL ? SMALLER.slice(0, 1) : [])];
  const drawable = () => box.getBoundingClientRect().bottom - endOf(box) >= wanted;
  const largest = (enough) => sizes.find((size) => {
    box.style.setProperty("--fit", size);
    return stands() && enough(size);
  });
  let found = largest((size) => size <= 1 || !wanted || drawable());
  if (found !== undefined && wanted && !drawable()) found = largest(() => true); // then its room is for the words
  box.tabIndex = !large && found === undefined ? 0 : -1; // a box that scrolls is reached by the keyboard too
  return found !== undefined;
}

// what a drawing needs under the words before they get larger than usual; 0 where there is none that could be read
function drawingRoom(box) {
  const drawn = by("glance").firstChild;
  if (!drawn || window.innerWidth >= DESK) return 0; // on a desk it stands beside them
  const [, , wide, high] = drawn.getAttribute("viewBox").split(" ").map(Number);
  return box.clientWidth < wide * LEGIBLE ? 0 : high * LEGIBLE + 20;
}

function endOf(box) {
  const shown = [...box.children].filter((one) => one !== by("glance") && one.getClientRects().length);
  return Math.max(box.getBoundingClientRect().top, ...shown.map((one) => one.getBoundingClientRect().bottom));
}

// where the words leave room, the drawing stands under them, else its name
function glance(box) {
  const button = by("glance");
  const drawn = button.firstChild;
  if (!drawn || document.body.classList.contains("large")) return;
  button.hidden = true;
  const room = box.getBoundingClientRect().bottom - endOf(box) - parseFloat(getComputedStyle(box).rowGap) - 4;
  const [, , wide, high] = drawn.getAttribute("viewBox").split(" ").map(Number);
  const height = Math.min(room, (box.clientWidth * high) / wide);
  const legible = height >= high * LEGIBLE;
  if (!legible && !by("hands").hidden) return;
  button.hidden = false;
  button.classList.toggle("named", !legible);
  if (legible) drawn.setAttribute("height", String(Math.floor(height)));
}

// From the floor: a word that is wider than the screen is drawn narrower, not broken, so that its capitals stay as high;
// then the limits, the question, the probes and the meter's setting are shown as far as there is room.
function lieDown(box) {
  const body = document.body.classList;
  const more = by("limits").hidden ? MORE_ON_FLOOR : ["with-limits", "with-leads"];
  for (const most of [1, 0.8, 0.65]) {
    body.remove(...MORE_ON_FLOOR);
    body.add("in-line");
    for (const line of [by("act"), by("place"), box.querySelector(".told")]) narrow(line, body, most);
    body.add(...more);
    for (const size of [52, 44, 36, 30, 25]) {
      box.style.setProperty("--near", `${size}px`);
      if (box.scrollHeight <= box.clientHeight) return;
    }
  }
  body.remove(...more);
  for (const one of more) {
    body.add(one);
    if (box.scrollHeight > box.clientHeight) body.remove(one);
  }
}

// no key answers what is not seen: where the question or what it is a yes to has no room, the keys give way
function lieWithKeys(box) {
  const body = document.body.classList;
  body.remove("keyless");
  lieDown(box);
  const unseen = [by("prompt"), by("parts")].some((one) => !one.hidden && !one.classList.contains("same") && !one.getClientRects().length);
  if (!body.contains("brief") || (!unseen && box.scrollHeight <= box.clientHeight)) return;
  body.add("keyless");
  lieDown(box);
}

function narrow(line, body, most) {
  if (line === null || !line.getClientRects().length) return;
  line.style.setProperty("--narrow", 1);
  const part = line.clientWidth / Math.max(1, line.scrollWidth);
  if (part < NARROWEST) body.remove("in-line");
  line.style.setProperty("--narrow", Math.max(NARROWEST, Math.min(most, part)));
}
