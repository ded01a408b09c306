// A session on this screen: the question, the ways to answer, what was read, what is suspected, the talk.
import { ask, clock, fill, idInPath, make, newKey } from "/assets/common.js";
import { drawLast, drawPhases, drawSuspects } from "/assets/draw.js";
import { Link } from "/assets/link.js";
import { Microphone } from "/assets/microphone.js";
import { Speech } from "/assets/speech.js";
import { Talker } from "/assets/talker.js";

const ON_HOLD = 2; // of the commands below, the first ones: they are answered on hold too
const MOST_TURNS = 400; // turns of the talk kept on the screen; the record has all
const SETTLE = 300; // milliseconds in which a new question takes no tap that was meant for the one before
const COMMANDS = [["where are we", "Where are we?"], ["what's left", "What's left?"], ["why", "Why?"],
  ["go back", "Go back"], ["scratch that", "Scratch that"], ["skip", "Skip"],
  ["help", "Help"], ["note", "Note"], ["stop", "Stop"]];

const by = (id) => document.getElementById(id);
const session = idInPath();
const touch = window.matchMedia("(pointer: coarse)").matches;
let standing = null;
let liveFrom = 0;
let caughtUp = false;
let draftTurn = 0;
let replies = []; // what we said since the last answer
let wakeLock = null;

const link = new Link(session, {
  state: showLine, welcome, message, reply, gone,
  check: () => ask("/api/home").catch(() => {}),
});
const speech = new Speech(() => {
  showAloud();
  talker.consider();
});
const talker = new Talker(by("speak"), link, speech, question, { trouble: showTrouble, notice: showNotice });

function question() {
  return standing === null ? null : { turn: standing.turn, prompt: standing.prompt };
}

function showLine(state) {
  by("line").dataset.state = state;
  by("line").textContent = state === "here" ? "on line" : "off line, trying again";
}

function showTrouble(text) {
  by("trouble").textContent = text;
}

function showNotice(text) {
  by("notice").textContent = text;
}

function welcome(fields, fresh) {
  if (fresh) fill(by("talk"));
  caughtUp = false;
  liveFrom = fields.last;
  by("log").setAttribute("aria-live", "off");
  const problem = fields.hears ? Microphone.problem() : fields.deaf_because;
  by("speak").hidden = problem !== "";
  by("rail").classList.toggle("silent", problem !== "");
  by("free").disabled = problem !== "";
  by("handsfree").hidden = problem !== "";
  by("deaf").hidden = problem === "";
  by("deaf").textContent = problem;
  by("kept").hidden = !fields.keeps_sound;
  catchUp();
}

function catchUp() {
  if (caughtUp || link.seen < liveFrom) return;
  caughtUp = true;
  by("log").setAttribute("aria-live", "polite");
}

function message(fields) {
  if (fields.kind === "talk") addTurn(fields);
  else if (fields.kind === "standing") show(fields);
  else if (fields.kind === "over") end(fields);
  catchUp();
}

function addTurn(fields) {
  const list = by("talk");
  const box = by("log");
  const follow = box.scrollTop + box.clientHeight >= box.scrollHeight - 40;
  const us = fields.who === "us";
  list.append(make("li", {}, make("span", { class: "at", text: clock(fields.at) }),
    make("span", { class: fields.who }, make("span", { class: "unseen", text: us ? "Leadsman: " : "You: " }),
      us ? fields.text : `\u201c${fields.text}\u201d`)));
  while (list.children.length > MOST_TURNS) list.firstChild.remove();
  if (follow) box.scrollTop = box.scrollHeight;
  if (us) replies.push(fields.text);
  else replies = [];
  if (us && fields.seq > liveFrom) speech.say(fields.spoken);
}

function show(fields) {
  const changed = standing === null || standing.turn !== fields.turn;
  standing = fields;
  const busy = by("answers").contains(document.activeElement);
  by("unit").textContent = fields.unit_number ? `Unit ${fields.unit_number}` : "Session";
  document.title = `${fields.unit_number ? `Unit ${fields.unit_number}` : "Session"} - Leadsman`;
  drawPhases(by("phases"), fields.phase);
  showReply(fields.ask);
  by("before").textContent = fields.ask.before.join("\n");
  by("act").textContent = fields.ask.caution ? "" : fields.act || fields.ask.text;
  by("place").textContent = fields.place ? fields.place.slice(0, 1).toUpperCase() + fields.place.slice(1) : "";
  by("caution").hidden = !fields.ask.caution;
  by("prompt").textContent = fields.ask.text || "Go on.";
  by("limits").hidden = !fields.limits;
  by("limits").textContent = fields.limits ? `Limits: ${fields.limits}` : "";
  if (changed) {
    showTrouble("");
    dropDraft();
    drawAnswers(fields);
    by("ask").dataset.turn = fields.turn;
    if (busy) by("prompt").focus({ preventScroll: true });
    by("tell").scrollTop = 0;
    closeMore();
  }
  by("hold").textContent = fields.held ? "Resume" : "Hold on";
  drawLast(by("last-part"), by("last"), fields.last);
  drawSuspects(by("suspects-part"), by("suspects"), fields.suspects);
  fit();
  talker.consider();
}

// the words get smaller, step by step, until all of them are seen at once
function fit() {
  const box = by("tell");
  for (const size of [1, 0.94, 0.88, 0.82, 0.76, 0.7, 0.65, 0.6, 0.56]) {
    box.style.setProperty("--fit", size);
    if (box.scrollHeight <= box.clientHeight) break;
  }
  box.tabIndex = box.scrollHeight > box.clientHeight ? 0 : -1; // a box that scrolls is reached by the keyboard too
}

// what we answered stands over the question, without the question itself
function showReply(asked) {
  const same = (one) => one.toLowerCase().replace(/^caution\. /, "");
  const known = [...asked.before, asked.text].map(same);
  by("reply").textContent = replies.filter((text) => !known.includes(same(text))).join("\n");
}

function drawAnswers(fields) {
  const box = by("answers");
  const padded = touch && fields.expects === "reading" && !fields.held;
  const shown = fields.answers.map((one, number) => make("button", {
    type: "button", text: one.label, class: number === 0 && fields.expects !== "reading" && fields.expects !== "choice" ? "main" : null,
    "aria-disabled": "true", on: { click: (event) => tap(event.currentTarget, one.say) },
  }));
  // where taps answer, a line to type on is there on request, so that everything stands on one screen
  const asked = touch && !padded && shown.length > 0 && !fields.held;
  if (asked) shown.push(make("button", { type: "button", text: "Type it", on: { click: typeIt } }));
  const keyed = padded && fields.answers.length <= 3;
  fill(box, ...(keyed ? [] : shown));
  box.classList.toggle("many", shown.length > 6);
  setTimeout(() => {
    for (const button of document.querySelectorAll("#enter [aria-disabled]")) button.removeAttribute("aria-disabled");
  }, SETTLE);
  by("typed").hidden = fields.held || asked;
  document.body.classList.toggle("padded", padded);
  if (padded) drawPad(fields, keyed ? fields.answers : []);
  // on hold only these are answered
  by("commands").querySelectorAll("button").forEach((button, at) => { button.hidden = fields.held && at >= ON_HOLD; });
  by("repeat").hidden = fields.held;
  by("rail").classList.toggle("held", fields.held);
  by("text-label").textContent = fields.unit ? `Reading, ${fields.unit}` : fields.hint ? `Answer: ${fields.hint}` : "Answer";
  by("text").placeholder = padded ? fields.unit : "";
  by("pad").hidden = !padded;
  by("text").inputMode = padded ? "none" : "text";
}

// the device's own keyboard instead of keys or buttons
function typeIt() {
  by("typed").hidden = false;
  by("pad").hidden = true;
  document.body.classList.remove("padded");
  by("text").inputMode = "text";
  by("text").focus();
  fit();
}

const NAMES = { ".": "point", "-": "minus", "/": "over, as in seven eighths", " ": "space, as in one and a half", k: "kilo" };
const SHOWN = { "-": "\u2212", " ": "space" };

// keys for a reading: digits, what the unit needs beside them, and what a meter shows in place of a number
function drawPad(fields, instead) {
  const [first = "", second = ""] = fields.keys;
  const words = instead.map((one) => ({ label: one.label, say: one.say }));
  const word = (at) => words[at] || { key: "" };
  const rows = [
    "1", "2", "3", { label: "Back", key: "Back", aria: "Take the last one back" }, word(0),
    "4", "5", "6", first, word(1),
    "7", "8", "9", second, word(2),
    ".", "0", { label: "Letters", key: "Letters", aria: "Letters: the keyboard of this device" }, { label: "Send", key: "Send", wide: true },
  ];
  fill(by("pad"), ...rows.map((one) => {
    const key = typeof one === "string" ? { label: SHOWN[one] || one, key: one, aria: NAMES[one] } : one;
    if (!key.key && !key.say) return make("span", {});
    const spelled = (key.label || "").length > 1;
    const kind = [spelled ? "word" : "", key.wide ? "wide main" : ""].join(" ").trim();
    return make("button", {
      type: "button", text: key.label, class: kind || null, "aria-label": key.aria, "aria-disabled": key.say ? "true" : null,
      on: { click: (event) => (key.say ? tap(event.currentTarget, key.say) : padKey(key.key)) },
    });
  }));
}

function tap(button, words) {
  if (button.getAttribute("aria-disabled") !== "true") send(words);
}

// one answer for the question on the screen, kept until the session says what became of it
function send(words, turn = standing?.turn) {
  if (standing === null || !words.trim()) return;
  showNotice("");
  speech.stop();
  talker.drop();
  link.answer(newKey(), turn, standing.prompt, words.trim());
  if (!link.open) showNotice(`No line just now. \u201c${words.trim()}\u201d is kept and sent when it is back.`);
}

function padKey(key) {
  const text = by("text");
  if (key === "Letters") {
    typeIt();
    return;
  }
  if (key === "Send") {
    by("typed").requestSubmit();
    return;
  }
  text.value = key === "Back" ? text.value.slice(0, -1) : text.value + key;
  text.dispatchEvent(new Event("input"));
}

// what was typed for one question never goes to the next
function dropDraft() {
  const draft = by("text").value.trim();
  if (draft && draftTurn && draftTurn !== standing.turn) {
    showNotice(`The question changed while you typed. \u201c${draft}\u201d was not sent.`);
    by("text").value = "";
  }
  draftTurn = 0;
}

function reply(fields) {
  const spoken = talker.reply(fields);
  if (fields.kind === "fate") tellFate(fields);
  else if (fields.kind === "nothing" && !talker.free) showNotice(`${fields.text} Say it again, or type it.`);
  else if (fields.kind === "trouble") showTrouble(fields.text);
  else if (fields.kind === "renew") ask("/api/stay").catch(() => {}); // the answer brings a fresh token; else the next one does
  if (spoken) talker.consider();
}

function tellFate(fields) {
  if (fields.fate === "taken") {
    showNotice(fields.advice || "");
    return;
  }
  const own = fields.text || fields.words;
  if (fields.fate === "other") showNotice(`Another screen answered first: \u201c${fields.words}\u201d.`);
  else if (fields.fate === "late") showNotice(`The question has changed. ${own ? `\u201c${own}\u201d` : "Your answer"} was not taken.`);
  else showNotice("The session is closed. Your answer was not taken.");
}

function end(fields) {
  standing = null;
  talker.consider();
  fill(by("answers"));
  for (const id of ["typed", "pad", "limits", "say", "voice", "suspects-part", "rail", "leave", "caution"]) by(id).hidden = true;
  for (const id of ["before", "reply", "act", "place"]) by(id).textContent = "";
  closeMore();
  setFloor(false);
  by("prompt").textContent = fields.ending === "left" ? "Set aside" : `Session over: ${fields.ending}`;
  const kept = "The session is kept. It goes on where it was left.";
  by("over-text").textContent = fields.text || (fields.ending === "left" ? kept : replies.join("\n"));
  by("over").hidden = false;
  by("over-text").hidden = false;
  const left = fields.ending === "left";
  by("again").hidden = !left;
  by("again").classList.toggle("main", left);
  by("to-record").classList.toggle("main", !left);
  by("tell").scrollTop = 0;
  fit();
  by("prompt").focus({ preventScroll: true });
}

function gone() {
  by("line").textContent = "not open";
  end({ ending: "left", text: "This session is not open on the machine that serves it. What was logged is kept." });
}

function showAloud() {
  by("aloud").disabled = !speech.possible;
  by("aloud-note").hidden = speech.possible;
  by("aloud-note").textContent = "This browser has no voice of its own that works without asking elsewhere.";
}

// on a phone what is not needed at every question is a sheet over it
function openMore() {
  document.body.classList.add("opened");
  by("open-more").setAttribute("aria-expanded", "true");
  by("more-title").focus({ preventScroll: true });
  by("log").scrollTop = by("log").scrollHeight;
}

function closeMore() {
  if (!document.body.classList.contains("opened")) return;
  document.body.classList.remove("opened");
  by("open-more").setAttribute("aria-expanded", "false");
  by("open-more").focus({ preventScroll: true });
}

// read from the floor: place, value, verdict and the next act alone
function setFloor(on) {
  document.body.classList.toggle("floor", on);
  by("floor").setAttribute("aria-pressed", String(on));
  fit();
}

async function stayAwake() {
  if (document.visibilityState !== "visible" || !navigator.wakeLock) return;
  wakeLock = await navigator.wakeLock.request("screen").catch(() => null);
}

by("typed").addEventListener("submit", (event) => {
  event.preventDefault();
  send(by("text").value, draftTurn || standing?.turn);
  by("text").value = "";
  draftTurn = 0;
});
by("text").addEventListener("input", () => {
  if (!draftTurn && standing !== null) draftTurn = standing.turn;
  if (!by("text").value) draftTurn = 0;
});
fill(by("commands"), ...COMMANDS.map(([words, label]) => make("button", {
  type: "button", text: label,
  on: { click: () => send(words) },
})));
by("open-more").addEventListener("click", openMore);
by("back").addEventListener("click", closeMore);
by("more").addEventListener("keydown", (event) => event.key === "Escape" && closeMore());
by("floor").addEventListener("click", () => {
  const on = by("floor").getAttribute("aria-pressed") !== "true";
  localStorage.setItem("floor", on ? "yes" : "no");
  setFloor(on);
});
new ResizeObserver(fit).observe(by("tell"));
by("hold").addEventListener("click", () => send(standing?.held ? "resume" : "hold on"));
by("repeat").addEventListener("click", () => send("say again"));
// one switch for both halves of hands-free, remembered on this device; each half has its own under More
function setHandsFree(on) {
  for (const id of ["aloud", "free"]) {
    if (by(id).disabled || by(id).checked === on) continue;
    by(id).checked = on;
    by(id).dispatchEvent(new Event("change"));
  }
  localStorage.setItem("handsfree", on ? "yes" : "no");
  showHandsFree();
}

function showHandsFree() {
  by("handsfree").setAttribute("aria-pressed", String(by("free").checked));
}

by("handsfree").addEventListener("click", () => setHandsFree(!by("free").checked));
// a browser opens no microphone before somebody has touched the page
for (const gesture of ["pointerup", "keyup"]) {
  document.addEventListener(gesture, (event) => {
    const own = event.target instanceof Element && event.target.closest("#handsfree, #more");
    if (!own && localStorage.getItem("handsfree") === "yes" && !by("handsfree").hidden) setHandsFree(true);
  }, { once: true });
}
by("free").addEventListener("change", () => {
  talker.setFree(by("free").checked);
  showHandsFree();
});
by("aloud").addEventListener("change", () => {
  speech.on = by("aloud").checked;
  sessionStorage.setItem("aloud", speech.on ? "yes" : "no");
  if (!speech.on) speech.stop();
  else if (standing !== null) speech.say(standing.ask.text);
});
by("leave").addEventListener("click", () => ask("/api/leave", { id: session }).catch((error) => showTrouble(error.message)));
by("again").addEventListener("click", () => ask("/api/resume", { id: session, key: newKey() })
  .then(() => location.reload()).catch((error) => showTrouble(error.message)));
by("to-record").href = `/record/${encodeURIComponent(session)}`;
document.addEventListener("visibilitychange", stayAwake);

setFloor(localStorage.getItem("floor") === "yes");
showAloud();
speech.begin();
stayAwake();
link.connect();
