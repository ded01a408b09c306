// One record for reading on a screen.
import { ask, fill, idInPath, make, newKey, positions, sentence } from "/assets/common.js";

const by = (id) => document.getElementById(id);
const WHO = { you: "You", us: "Leadsman", mark: "" };

export function rows(record) {
  return record.rows.flatMap((row) => [
    make("dt", { text: row.label }),
    make("dd", { class: "texts" }, ...row.texts.map((text) => make("span", { text }))),
  ]);
}

export function heading(record) {
  return `${record.unit ? `Unit ${record.unit}` : "Unit not named"}: ${sentence(record.title)}`;
}

function reading(one) {
  return make("li", { class: one.verdict === "withdrawn" ? "withdrawn" : null },
    make("p", {}, make("strong", { text: `${one.number}. ${sentence(one.title)}` })),
    make("p", {}, make("span", { class: "value", text: one.text }),
      make("span", { class: `verdict ${one.grade}`, text: one.verdict })),
    one.limits ? make("p", { text: `Limits ${one.limits}` }) : null,
    make("p", { class: "note", text: [one.at, ...one.details].join("; ") }));
}

function turn(one) {
  const text = one.who === "you" ? `\u201c${one.text}\u201d` : one.text;
  return make("li", {}, make("span", { class: "at", text: one.at }),
    make("span", { class: one.who }, one.who === "mark" ? null : make("span", { class: "unseen", text: `${WHO[one.who]}: ` }),
      text));
}

async function begin() {
  const id = idInPath();
  const record = await ask(`/api/record/${encodeURIComponent(id)}`);
  document.title = `${heading(record)} - Leadsman`;
  by("title").textContent = heading(record);
  by("began").textContent = `Began ${record.began}. Session ${record.id}.`;
  by("invented").hidden = !record.invented;
  by("damage").textContent = record.damage.length ? `This record is damaged: ${record.damage.join(" ")}` : "";
  by("print").href = `/record/${encodeURIComponent(id)}/print`;
  by("goon").hidden = record.ending !== "left" && !record.running;
  fill(by("rows"), ...rows(record));
  by("positions-part").hidden = record.positions === null;
  if (record.positions) fill(by("positions"), ...positions(record.positions));
  by("readings-part").hidden = record.readings.length === 0;
  fill(by("readings"), ...record.readings.map(reading));
  fill(by("talk"), ...record.talk.map(turn));
  by("record").hidden = false;
}

by("goon").addEventListener("click", async () => {
  try {
    const told = await ask("/api/resume", { id: idInPath(), key: newKey() });
    location.assign(`/session/${encodeURIComponent(told.id)}`);
  } catch (error) {
    by("trouble").textContent = error.message;
  }
});
begin().catch((error) => {
  by("trouble").textContent = error.message;
}).finally(() => by("main").setAttribute("aria-busy", "false"));
