// A session on this screen: the question, the ways to answer, what was read, what is suspected, the talk.
import { ask, clock, fill, idInPath, make, newKey } from "/assets/common.js";
import { keepOfflinePage } from "/assets/install.js";
import { drawLast, drawPhases, drawPictures, drawSuspects } from "/assets/draw.js";
import { DESK, fit } from "/assets/fit.js";
import { Link } from "/assets/link.js";
import { Microphone } from "/assets/microphone.js";
import { Pad } from "/assets/pad.js";
import { Photos } from "/assets/photos.js";
import { Speech } from "/assets/speech.js";
import { Talker } from "/assets/talker.js";

const ON_HOLD = 2; // of the commands below, the first ones: they are answered on hold too
const MOST_TURNS = 400; // turns of the talk kept on the screen; the record has all
const QUESTIONS = ["confirm", "choose", "stop", "offer"]; // laid over a reading, and answered by a tap
const EMPTY = ["Type the number first.", "Type the answer first."]; // said to an empty Send
const SETTLE = 300; // milliseconds in which a new question takes no tap that was meant for the one before
const COMMANDS = [["where are we", "Where are we?"], ["what's left", "What's left?"], ["why", "Why?"],
  ["go back", "Go back"], ["scratch that", "Scratch that"], ["skip", "Skip"],
  ["correction", "Correction"], ["help", "Help"], ["note", "Note"], ["stop", "Stop"],
  ["say again", "Say it again"]]; // the last one where the rail has no room for it

const by = (id) => document.getElementById(id);
const session = idInPath();
const LIVE = `leadsman-live-${session}`; // set while the session stands on this screen
const touch = window.matchMedia("(pointer: coarse)").matches;
let standing = null;
let liveFrom = 0;
let caughtUp = false;
let draftTurn = 0;
let replies = []; // what we said since the last answer
let heard = ""; // the last answer, where it was spoken
let wakeLock = null;
let settled = 0; // when the keys of this question take a tap

const link = new Link(session, {
  state: showLine, welcome, message, reply, gone,
  check: () => ask("/api/stay").catch(() => {}),
});
const speech = new Speech(() => {
  showAloud();
  talker.consider();
}, (seq) => `/api/voice/${encodeURIComponent(session)}/${seq}`);
const talker = new Talker(by("speak"), link, speech, question, { trouble: showTrouble, notice: showNotice });

const pad = new Pad(by("pad"), { press: padKey, answer: tap, settling: () => performance.now() < settled });

const photos = new Photos(session, {
  take: by("photo-take"), of: by("photo-of"), state: by("photo-state"), again: by("photo-again"), list: by("photos"),
}, () => standing);

function question() {
  return standing === null ? null : { turn: standing.turn, prompt: standing.prompt };
}

function showLine(state) {
  by("line").dataset.state = state;
  by("line").textContent = state === "here" ? "on line" : state === "back" ? "taking it up again" : "off line, trying again";
}

function showTrouble(text) {
  tell("trouble", text);
}

function showNotice(text) {
  tell("notice", text);
}

// a message takes room: what is asked and its limits stand beside it, in smaller words
function tell(where, text) {
  if (by(where).textContent === text) return;
  by(where).textContent = text;
  fit();
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
  speech.offer(fields.speaks);
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
  else {
    replies = [];
    heard = fields.aloud ? fields.text : "";
  }
  if (us && fields.seq > liveFrom) speech.say(fields.spoken, fields.seq);
}

function nameUnit(number) {
  const name = number ? `Unit ${number}` : "No unit number";
  by("unit").textContent = name;
  by("unit").classList.toggle("long", name.length > 12);
  document.title = `${name} - Leadsman`;
}

function show(fields) {
  const changed = standing === null || standing.turn !== fields.turn;
  const again = standing !== null && standing.prompt === fields.prompt; // the answer did not bring us on
  standing = fields;
  const busy = by("answers").contains(document.activeElement);
  nameUnit(fields.unit_number);
  drawPhases(by("phases"), fields.phase);
  showReply(fields.ask, again ? heard : "");
  by("before").textContent = fields.ask.before.join("\n");
  by("act").textContent = fields.ask.caution ? "" : fields.act || fields.ask.head || fields.ask.text;
  by("prompt").classList.toggle("same", by("act").textContent === fields.ask.text);
  by("place").textContent = fields.place ? fields.place.slice(0, 1).toUpperCase() + fields.place.slice(1) : "";
  by("caution").hidden = !fields.ask.caution;
  showParts(fields.ask);
  by("found").hidden = !fields.found;
  by("found-text").textContent = fields.found ? fields.found.text : "";
  by("prompt").textContent = fields.ask.text || "Go on.";
  by("limits").hidden = !fields.limits;
  // over number keys they stand beside the line that is typed on, so that the words keep theirs
  for (const id of ["limits", "limits-here"]) by(id).textContent = fields.limits ? `Limits: ${fields.limits}` : "";
  sessionStorage.setItem(LIVE, "yes");
  if (changed) {
    showTrouble("");
    dropDraft();
    drawAnswers(fields);
    by("ask").dataset.turn = fields.turn;
    if (busy) by("prompt").focus({ preventScroll: true });
    by("tell").scrollTop = 0;
    window.scrollTo(0, 0);
    closeMore();
  }
  talker.setHeld(fields.held);
  by("hold").textContent = fields.held ? "Resume" : "Hold on";
  drawLast(by("last-part"), by("last"), fields.last);
  photos.show(fields.photos, fields.last);
  drawSuspects(by("suspects-part"), by("suspects"), fields.suspects);
  drawPictures(by("pictures-part"), by("pictures"), by("glance"), fields.pictures);
  fit();
  talker.consider();
}

// what the answer is a yes to: each caution, and each thing that goes back, stands by itself
function showParts(asked) {
  by("parts").hidden = asked.parts.length === 0;
  document.body.classList.toggle("parted", asked.parts.length > 0);
  by("parts").className = asked.head === "Caution" ? "parts cautions" : "parts";
  fill(by("parts"), ...asked.parts.map((text) => make("li", {}, text)));
  by("sign").hidden = asked.parts.length === 0;
  by("sign").textContent = asked.head;
}

// what we answered stands over the question, without the question itself
function showReply(asked, words) {
  const same = (one) => one.toLowerCase().replace(/^caution\. /, "");
  const known = [...asked.said, asked.text].map(same);
  const told = replies.filter((text) => !known.includes(same(text)));
  by("reply").textContent = [words && told.length ? `I heard: \u201c${words}\u201d` : "", ...told].filter(Boolean).join("\n");
}

function drawAnswers(fields) {
  const box = by("answers");
  const padded = touch && fields.expects === "reading" && !fields.held && !QUESTIONS.includes(fields.mode);
  const yesNo = fields.answers.some((one) => one.say === "yes");
  const shown = fields.answers.map((one, number) => make("button", {
    type: "button", text: one.label, class: number === 0 && fields.expects !== "reading" && fields.expects !== "choice" ? "main" : null,
    "aria-disabled": "true", on: { click: (event) => tap(event.currentTarget, one.say, event.detail > 0) },
  }));
  // where taps answer, a line to type on is there on request, so that everything stands on one screen
  const asked = touch && !padded && shown.length > 0 && !fields.held;
  if (asked) {
    const label = fields.expects === "reading" ? "Another value" : "Type it";
    shown.push(make("button", { type: "button", class: "else", text: label, on: { click: typeIt } }));
  }
  by("hands").hidden = !touch || fields.pictures.length === 0 || window.innerWidth >= DESK;
  const keyed = padded && fields.answers.length <= 3;
  // one or two keys answer it: they are at hand in the big view and under very large text too
  document.body.classList.toggle("brief", !padded && fields.answers.length > 0 && fields.answers.length <= 2);
  fill(box, ...(keyed ? [] : shown));
  box.classList.toggle("many", shown.length > 6);
  box.classList.toggle("yes-no", yesNo && shown.length <= 3);
  box.classList.toggle("alone", yesNo && fields.answers.length === 1);
  settled = performance.now() + SETTLE;
  setTimeout(() => {
    for (const button of document.querySelectorAll("#enter [aria-disabled]")) button.removeAttribute("aria-disabled");
  }, SETTLE);
  by("typed").hidden = fields.held || asked;
  document.body.classList.toggle("padded", padded);
  if (padded) pad.draw(fields.keys, keyed ? fields.answers : []);
  // what shows where the hands go takes the place of what says it again, which stays under More
  by("repeat").hidden = fields.held || !by("hands").hidden;
  // on hold only these are answered
  by("commands").querySelectorAll("button").forEach((button, at) => { button.hidden = fields.held && at >= ON_HOLD; });
  by("commands").lastElementChild.hidden = fields.held || by("hands").hidden;
  by("rail").classList.toggle("held", fields.held);
  const words = fields.expects === "choice" ? fields.answers.map((one) => one.label.toLowerCase()).join(", ") : fields.hint;
  by("text-label").textContent = fields.unit ? `Reading, ${fields.unit}` : words ? `Answer: ${words}` : "Answer";
  by("text").placeholder = padded ? fields.unit : "";
  by("pad").hidden = !padded;
  by("text").inputMode = padded ? "none" : "text";
}

// the device's own keyboard instead of keys or buttons
function typeIt() {
  by("typed").hidden = false;
  if (standing?.expects === "reading" && by("pad").hidden) {
    document.body.classList.add("padded");
    pad.draw(standing.keys, standing.answers);
    by("pad").hidden = false;
    by("text").inputMode = "none";
    fill(by("answers"));
    fit();
    return;
  }
  by("pad").hidden = true;
  document.body.classList.remove("padded");
  by("text").inputMode = "text";
  by("text").focus();
  fit();
}

// a finger takes no yes to a list whose end it has not had in sight; keyboard and voice have it read to them or hear it
function tap(button, words, finger = false) {
  if (finger && button.classList.contains("unread")) return;
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
  if (key === "Others" || key === "Numbers") {
    pad.turn(key === "Others");
    fit();
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
  else if (fields.kind === "hearing") talker.hears(fields);
  else if (fields.kind === "ended") talker.ended(fields);
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
  wakeLock?.release().catch(() => {});
  wakeLock = null;
  sessionStorage.removeItem(LIVE);
  showNotice("");
  talker.consider();
  fill(by("answers"));
  document.body.classList.remove("brief");
  for (const id of ["typed", "pad", "limits", "say", "voice", "photos-part", "suspects-part", "rail", "leave", "caution", "parts", "sign", "found", "hands"]) by(id).hidden = true;
  for (const id of ["before", "reply", "act", "place"]) by(id).textContent = "";
  closeMore();
  setFloor(false);
  by("prompt").textContent = fields.ending === "left" ? "Set aside" : `Done: ${fields.ended}`;
  const kept = "The session is kept. It goes on where it was left.";
  const told = replies.join("\n").split("\n").filter((line) => line.replace(/\.$/, "") !== by("prompt").textContent);
  by("over-text").textContent = fields.text || (fields.ending === "left" ? kept : told.join("\n"));
  by("over").hidden = false;
  by("over-text").hidden = false;
  fill(by("glance"));
  by("pictures-part").hidden = true;
  const left = fields.ending === "left";
  by("again").hidden = !left;
  by("to-customer").hidden = left;
  if (!by("unit").textContent.startsWith("Unit ")) {
    ask(`/api/unit-of/${encodeURIComponent(session)}`).then(({ unit }) => nameUnit(unit)).catch(() => {});
  }
  by("again").classList.toggle("main", left);
  by("to-record").classList.toggle("main", !left);
  by("tell").scrollTop = 0;
  fit();
  by("prompt").focus({ preventScroll: true });
}

// the machine that serves the page was restarted: a session that was open on this screen is taken up by itself
async function gone() {
  if (sessionStorage.getItem(LIVE) !== "yes") {
    closed("This session is not open on the machine that serves it. What was logged is kept.");
    return;
  }
  showLine("back");
  try {
    await ask("/api/resume", { id: session, key: newKey() });
    link.again();
  } catch (error) {
    if (error.unreachable) link.later();
    else closed(error.message);
  }
}

function closed(text) {
  by("line").textContent = "not open";
  end({ ending: "left", text });
}

function showAloud() {
  by("aloud").disabled = !speech.possible;
  by("aloud-note").hidden = speech.own;
  by("aloud-note").textContent = speech.possible
    ? "With the voice of the machine that serves the page: this browser has none of its own."
    : "Neither this browser nor the machine that serves the page has a voice.";
}

function openPictures() {
  openMore();
  by("more").scrollTop = 0;
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

// the big view, read from the floor: place, value, verdict and the next act alone
function setFloor(on) {
  document.body.classList.toggle("floor", on);
  by("floor").setAttribute("aria-pressed", String(on));
  fit();
}

async function stayAwake() {
  if (document.visibilityState !== "visible" || !navigator.wakeLock || !by("over").hidden) return;
  wakeLock = await navigator.wakeLock.request("screen").catch(() => null);
}

by("typed").addEventListener("submit", (event) => {
  event.preventDefault();
  if (standing !== null && !by("text").value.trim()) {
    showNotice(EMPTY[standing.expects === "reading" ? 0 : 1]);
    return;
  }
  send(by("text").value, draftTurn || standing?.turn);
  by("text").value = "";
  draftTurn = 0;
});
by("text").addEventListener("input", () => {
  if (!draftTurn && standing !== null) draftTurn = standing.turn;
  if (!by("text").value) draftTurn = 0;
  else if (EMPTY.includes(by("notice").textContent)) showNotice("");
});
fill(by("commands"), ...COMMANDS.map(([words, label]) => make("button", {
  type: "button", text: label,
  on: { click: () => send(words) },
})));
by("open-more").addEventListener("click", openMore);
for (const id of ["glance", "hands"]) by(id).addEventListener("click", openPictures);
by("back").addEventListener("click", closeMore);
by("more").addEventListener("keydown", (event) => event.key === "Escape" && closeMore());
by("floor").addEventListener("click", () => {
  const on = by("floor").getAttribute("aria-pressed") !== "true";
  localStorage.setItem("floor", on ? "yes" : "no");
  setFloor(on);
});
const watch = new ResizeObserver(fit);
for (const one of [by("tell"), by("rail"), by("last-part"), document.querySelector(".head")]) watch.observe(one);
window.addEventListener("resize", fit);
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
  else if (standing !== null) speech.say(standing.ask.text, "ask");
});
by("leave").addEventListener("click", () => ask("/api/leave", { id: session }).catch((error) => showTrouble(error.message)));
by("again").addEventListener("click", () => ask("/api/resume", { id: session, key: newKey() })
  .then(() => location.reload()).catch((error) => showTrouble(error.message)));
by("to-record").href = `/record/${encodeURIComponent(session)}`;
by("to-customer").href = `/record/${encodeURIComponent(session)}/customer`;
document.addEventListener("visibilitychange", stayAwake);

setFloor(localStorage.getItem("floor") === "yes");
showAloud();
speech.begin();
stayAwake();
keepOfflinePage();
link.connect();
