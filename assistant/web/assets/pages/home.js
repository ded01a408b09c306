// The first view: go on with a session, start one, or read a record.
import { ask, fill, make, newKey, sentence, when } from "/assets/common.js";
import { drawPairing } from "/assets/draw.js";
import { keepOfflinePage } from "/assets/install.js";
import { Speech } from "/assets/speech.js";

const STEP = 30;
const MOST_ROWS = 5;
const FEW_ROWS = 2;
const EVERY = 20000; // milliseconds between two looks at the board
const by = (id) => document.getElementById(id);
const trouble = by("trouble");
let records = [];
let board = [];
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
  return record.cause ? `${record.ended}: ${record.cause}` : record.ended;
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

// the foreman's board: each session with who, where, how long and what it waits for
const STANDS = {
  open: ["Open now", "Watch or answer"], elsewhere: ["Open at a terminal", "Read the record"],
  waiting: ["Waiting", "Read the record"], left: ["Left", "Resume"],
};

function onBoard(row) {
  const [stand, act] = STANDS[row.stand];
  const name = `${act} ${title(row)}`;
  const minutes = Math.round(row.minutes);
  const spent = ["open", "elsewhere"].includes(row.stand) ? `${minutes} min so far` : `${minutes} min spent, ${row.since ? `${row.since} ago` : "time not known"}`;
  const told = (label, text) => text ? make("p", {}, make("span", { class: "note", text: `${label} ` }), text) : null;
  return make("li", { class: `panel goon ${row.stand}` },
    make("div", { class: "grow" },
      make("p", { class: "stand", text: stand }),
      make("strong", { text: title(row) }),
      make("p", { text: `${sentence(row.procedure)}${row.where ? `, ${row.where}` : ""}` }),
      told(row.stand === "open" ? "Asks:" : "Waits for:", row.waits_for),
      make("p", { class: "note", text: row.technician ? `${row.technician}, ${spent}` : sentence(spent) })),
    ["waiting", "elsewhere"].includes(row.stand)
      ? make("a", { class: "button", href: `/record/${encodeURIComponent(row.id)}`, text: act, "aria-label": name })
      : make("button", {
        type: "button", class: "main", text: act, "aria-label": name,
        on: { click: (event) => take(event.currentTarget, "/api/resume", { id: row.id }) },
      }));
}

function drawBoard(rows) {
  by("open-part").hidden = rows.length === 0;
  const most = window.innerWidth < 640 ? FEW_ROWS : MOST_ROWS; // the form stays near on a phone
  const few = by("all-open").checked ? rows : rows.slice(0, most);
  fill(by("open"), ...few.map(onBoard));
  by("all-open-part").hidden = rows.length <= most;
  by("all-open-text").textContent = `All ${rows.length}`;
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
      make("input", {
        type: "radio", name: "procedure", value: offer.name, checked: only ? "" : null,
        on: { change: (event) => event.currentTarget.closest(".offer").after(by("go")) },
      }),
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
  by("unit-past").hidden = past.length === 0;
  by("unit-past").href = `/unit?number=${encodeURIComponent(by("unit").value.trim())}`;
}

// own words choose, as the machine understands them: none is chosen where several may be meant
let chosenBy = null, wait = 0, turn = 0;
function chooseByWords() {
  turn += 1;
  clearTimeout(wait);
  if (chosenBy !== null) chosenBy.checked = false;
  chosenBy = null;
  by("words-note").textContent = "";
  if (by("words").value.trim() !== "") wait = setTimeout(askForProcedure, 250, turn);
}
async function askForProcedure(asked) {
  const { procedures } = await ask("/api/choose", { words: by("words").value }).catch(() => ({ procedures: [] }));
  if (asked !== turn) return;
  const near = procedures.map((name) => document.querySelector(`input[name=procedure][value="${CSS.escape(name)}"]`)).filter(Boolean);
  const title = (input) => input.closest(".offer").querySelector("strong").textContent;
  by("words").parentElement.after(by("go"));
  if (near.length === 1) {
    chosenBy = near[0];
    chosenBy.checked = true;
    by("words-note").textContent = `Then: ${title(chosenBy)}. Choose another if that is not it.`;
  } else {
    by("words-note").textContent = near.length === 0 ? "Choose one below." : `Choose one below, perhaps: ${near.slice(0, 3).map(title).join("; ")}.`;
  }
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
    procedure: chosen.value, unit: by("unit").value, air: by("air").value, meter: by("meter").value, order: by("order").value, left: "ask",
    words: by("words").value,
  });
});
by("practice").addEventListener("click", (event) => {
  const chosen = document.querySelector("input[name=procedure]:checked");
  if (chosen === null) {
    fail(new Error("Choose below what to practice."));
    document.querySelector("input[name=procedure]")?.focus();
    return;
  }
  take(event.currentTarget, "/api/practice", { procedure: chosen.value });
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

by("pair-phone").addEventListener("click", async () => {
  by("picture-trouble").textContent = "";
  try {
    const told = await ask("/api/pairing");
    by("picture-text").textContent = `Point the phone's camera here, or open this address on it and type ${told.code.slice(0, 4)} ${told.code.slice(4)}. `
      + `For one phone, good for ${told.minutes} minutes at most.`;
    drawPairing(by("picture-place"), told);
    by("picture").hidden = false;
    by("picture-text").focus();
  } catch (error) {
    by("picture").hidden = true;
    by("picture-trouble").textContent = error.message;
  }
});

async function begin() {
  keepOfflinePage().then((kept) => {
    by("offline-note").hidden = kept;
    by("offline-note").textContent = kept ? "" : "This browser keeps no page of ours for when the machine is away: it keeps one only where it trusts the certificate.";
  });
  speech.on = sessionStorage.getItem("aloud") === "yes";
  speech.begin();
  const home = await ask("/api/home");
  by("unpair").hidden = by("pair-phone").hidden = !home.pairing;
  drawStart(home);
  show(home);
  tellUnit(); // a number may be typed before the records are here
  document.getElementById(location.hash.slice(1))?.scrollIntoView(); // what came in has moved it down
}
function show(home) {
  ({ records, board } = home);
  drawBoard(board);
  drawRecords();
}

// the board stays true while somebody looks at it, and says when it does not
async function look() {
  if (document.visibilityState !== "visible") return;
  const busy = by("open").contains(document.activeElement) || by("records").contains(document.activeElement);
  try {
    const home = await ask("/api/home");
    by("stale").hidden = true;
    if (!busy) show(home);
  } catch (error) {
    by("stale").hidden = false;
    by("stale").textContent = `${error.message} What stands here may be out of date.`;
  }
}
setInterval(look, EVERY);
document.addEventListener("visibilitychange", look);
by("all-open").addEventListener("change", () => drawBoard(board));

// a page that comes back from the browser's memory shows old news
window.addEventListener("pageshow", (event) => event.persisted && location.reload());
begin().catch(fail);
