// One record for paper.
import { ask, idInPath, make, positions, sentence } from "/assets/common.js";

const by = (id) => document.getElementById(id);
const body = (id) => by(id).querySelector("tbody");
const WHO = { you: "You", us: "Leadsman", mark: "" };
const cells = (...texts) => texts.map((text) => make("td", { text }));

function reading(one) {
  const first = make("tr", { class: one.details.length ? "first" : null }, ...cells(one.number, one.at, one.title),
    make("td", { class: "read", text: one.text }), ...cells(one.limits, one.verdict));
  if (!one.details.length) return [first];
  return [first, make("tr", {}, make("td", {}), make("td", {}), make("td", { class: "more", colspan: 4, text: one.details.join("; ") }))];
}

async function begin() {
  const id = idInPath();
  by("back").href = `/record/${encodeURIComponent(id)}`;
  const record = await ask(`/api/record/${encodeURIComponent(id)}`);
  const title = `${record.unit ? `Unit ${record.unit}` : "Unit not named"}: ${sentence(record.title)}`;
  document.title = `${title} ${record.id}`;
  by("title").textContent = title;
  by("began").textContent = `Began ${record.began}. Session ${record.id}.`;
  by("invented").hidden = !record.invented;
  by("damage").hidden = record.damage.length === 0;
  by("damage").textContent = `This record is damaged: ${record.damage.join(" ")}`;
  body("rows").append(...record.rows.map((row) => make("tr", {}, make("th", { scope: "row", text: row.label }),
    make("td", {}, ...row.texts.map((text) => make("div", { text }))))));
  by("positions").hidden = record.positions === null;
  if (record.positions) by("positions").append(...positions(record.positions).filter((one) => one !== null));
  by("readings").hidden = record.readings.length === 0;
  body("readings").append(...record.readings.flatMap(reading));
  body("talk").append(...record.talk.map((one) => make("tr", {}, ...cells(one.at, WHO[one.who], one.text))));
}

by("go").addEventListener("click", () => window.print());
begin().catch((error) => {
  by("trouble").textContent = error.message;
}).finally(() => by("main").setAttribute("aria-busy", "false"));
