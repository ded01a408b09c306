// The first view: go on with a session, start one, or read a record.
import { ask, fill, make, newKey, sentence, when } from "/assets/common.js";
import { Speech } from "/assets/speech.js";

const STEP = 30;
const by = (id) => document.getElementById(id);
const trouble = by("trouble");
let records = [];
let shown = STEP;
let asked = null; // what was to be started when a session that was left was found
const speech = new Speech(() => {});

function fail(error) {
  trouble.textContent = error.message;
}

function title(record) {
  return record.unit ? `Unit ${record.unit}` : "No unit number";
}

function outcome(record) {
  if (record.running) return "open now";
  if (record.ending === "left") return "left, not finished";
  return record.cause ? `${record.ending}: ${record.cause}` : record.ending;
}

function drawRecords() {
  const words = by("find").value.trim().toLowerCase();
  const found = records.filter((record) =>
    [record.id, record.unit, record.cause, record.ending, record.procedure, outcome(record)]
      .some((text) => text.toLowerCase().includes(words)));
  fill(by("records"), ...found.slice(0, shown).map((record) => make("li", {},
    make("a", { href: `/record/${encodeURIComponent(record.id)}` },
      make("strong", { text: title(record) }),
      make("span", { class: `what ${record.ending === "left" ? "left" : ""}`, text: outcome(record) }),
      make("span", { class: "note", text: `${when(record.started)}, ${Math.round(record.minutes)} min`
        + `${record.invented ? ", invented" : ""}${record.damaged ? ", damaged" : ""}` })))));
  by("none").textContent = records.length === 0 ? "No session is recorded yet."
    : found.length === 0 ? "No record fits." : "";
  by("more").hidden = found.length <= shown;
}

function drawOpen() {
  const open = records.filter((record) => record.running || (record.ending === "left" && record.started)).slice(0, 5);
  by("open-part").hidden = open.length === 0;
  fill(by("open"), ...open.map((record) => make("li", { class: "panel goon" },
    make("div", {},
      make("strong", { text: title(record) }),
      make("p", { class: "note", text: `${sentence(record.procedure)}. ${when(record.started)}, ${outcome(record)}.` })),
    make("button", {
      type: "button", class: "main", text: record.running ? "Watch or answer" : "Resume",
      "aria-label": `${record.running ? "Watch or answer" : "Resume"} ${title(record)}, ${when(record.started)}`,
      on: { click: (event) => take(event.currentTarget, "/api/resume", { id: record.id }) },
    }))));
}

async function take(button, path, fields) {
  trouble.textContent = "";
  button.setAttribute("aria-disabled", "true");
  try {
    const told = await ask(path, { ...fields, key: newKey() });
    if (told.left) {
      button.removeAttribute("aria-disabled");
      offer(told.left, fields);
      return;
    }
    location.assign(`/session/${encodeURIComponent(told.id)}`);
  } catch (error) {
    fail(error);
    button.removeAttribute("aria-disabled");
  }
}

// the same unit was left in the middle: it is asked, aloud too where this device speaks, before a new record begins
function offer(left, fields) {
  asked = { id: left.id, fields };
  by("offer-text").textContent = left.text;
  by("start").hidden = true;
  by("offer").hidden = false;
  by("offer-text").focus();
  speech.say(left.spoken);
}

function drawStart(home) {
  const only = home.offers.length === 1;
  let kind = "";
  for (const offer of home.offers) {
    if (offer.kind !== kind && !only) {
      kind = offer.kind;
      by("procedures").append(make("p", { class: "group", text: kind === "survey" ? "Measure every position" : "Find what is wrong" }));
    }
    by("procedures").append(make("label", { class: "offer" },
      make("input", { type: "radio", name: "procedure", value: offer.name, checked: only ? "" : null }),
      make("strong", { text: sentence(offer.title) }), make("span", { text: offer.summary })));
  }
  fill(by("meter"), make("option", { value: "", text: "Not known" }),
    ...home.meters.map((meter) =>
      make("option", { value: meter.name, text: meter.title, selected: meter.name === home.meter ? "" : null })));
}

// what the records know of a unit is told while its number is typed
function tellUnit() {
  const plain = (text) => text.toLowerCase().replace(/[^a-z0-9]/g, "");
  const typed = plain(by("unit").value);
  const past = typed ? records.filter((record) => plain(record.unit) === typed) : [];
  by("unit-note").textContent = !typed ? "Left empty, it is asked."
    : past.length === 0 ? "Not seen here before, as far as this list goes."
      : `Here ${when(past[0].started)}: ${outcome(past[0])}.${past.length > 1 ? ` ${past.length} times in all.` : ""}`;
}

// own words choose: the procedure in whose title and summary most of them stand; none chosen where two are as near
const SMALL = new Set("the a an is are on in of to my its it and or no not does do with at".split(" "));
function chooseByWords() {
  const words = by("words").value.toLowerCase().split(/[^a-z0-9-]+/).filter((word) => word.length > 1 && !SMALL.has(word));
  const offers = [...document.querySelectorAll(".offer")];
  const scored = offers.map((offer) => {
    const title = offer.querySelector("strong").textContent.toLowerCase();
    const rest = offer.querySelector("span").textContent.toLowerCase();
    return [words.reduce((sum, word) => sum + (title.includes(word) ? 3 : rest.includes(word) ? 1 : 0), 0), offer];
  }).sort((one, other) => other[0] - one[0]);
  const [best, second] = scored;
  const clear = words.length > 0 && best[0] > 0 && (scored.length < 2 || best[0] > second[0]);
  if (clear) best[1].querySelector("input").checked = true;
  by("words-note").textContent = words.length === 0 ? ""
    : clear ? `Then: ${best[1].querySelector("strong").textContent}. Choose another if that is not it.` : "Choose one below.";
}

by("unit").addEventListener("input", tellUnit);
by("words").addEventListener("input", chooseByWords);
by("start").addEventListener("submit", (event) => {
  event.preventDefault();
  if (by("begin").getAttribute("aria-disabled") === "true") return;
  const chosen = document.querySelector("input[name=procedure]:checked");
  if (chosen === null) {
    fail(new Error("Choose what is wrong first."));
    document.querySelector("input[name=procedure]")?.focus();
    return;
  }
  take(by("begin"), "/api/start", {
    procedure: chosen.value, unit: by("unit").value, air: by("air").value, meter: by("meter").value, left: "ask",
  });
});
by("offer-yes").addEventListener("click", (event) => take(event.currentTarget, "/api/resume", { id: asked.id }));
by("offer-no").addEventListener("click", (event) => take(event.currentTarget, "/api/start", { ...asked.fields, left: "" }));
by("find").addEventListener("input", () => {
  shown = STEP;
  drawRecords();
});
by("more").addEventListener("click", () => {
  shown += STEP;
  drawRecords();
});
by("unpair").addEventListener("click", () => ask("/api/unpair", {}).then(() => location.replace("/pair")).catch(fail));

async function begin() {
  speech.on = sessionStorage.getItem("aloud") === "yes";
  speech.begin();
  const home = await ask("/api/home");
  records = home.records;
  by("unpair").hidden = !home.pairing;
  drawStart(home);
  drawOpen();
  drawRecords();
  tellUnit(); // a number may be typed before the records are here
}
// a page that comes back from the browser's memory shows old news
window.addEventListener("pageshow", (event) => event.persisted && location.reload());
begin().catch(fail);
