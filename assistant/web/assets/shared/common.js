// What every paired view uses. Text goes into the page as text only; nothing is ever parsed as markup.

export function make(tag, options = {}, ...children) {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(options)) {
    if (name === "text") element.textContent = value;
    else if (name === "on") for (const [event, act] of Object.entries(value)) element.addEventListener(event, act);
    else if (value !== null && value !== undefined && value !== false) element.setAttribute(name, value);
  }
  element.append(...children.filter((child) => child !== null));
  return element;
}

export function fill(element, ...children) {
  element.replaceChildren(...children.filter((child) => child !== null));
}

export function newKey() {
  const bytes = crypto.getRandomValues(new Uint8Array(12));
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
}

export async function ask(path, fields = null) {
  const options = fields === null ? {} : {
    method: "POST", headers: { "content-type": "application/json" }, body: JSON.stringify(fields),
  };
  let answer;
  try {
    answer = await fetch(path, options);
  } catch {
    throw Object.assign(new Error("The machine that serves this page cannot be reached."), { unreachable: true });
  }
  if (answer.status === 401) {
    location.assign("/pair");
    return new Promise(() => {});
  }
  const told = await answer.json().catch(() => ({}));
  if (!answer.ok) throw new Error(told.error || "That did not work.");
  return told;
}

export function clock(seconds) {
  const whole = Math.floor(seconds);
  return `${Math.floor(whole / 60)}:${String(whole % 60).padStart(2, "0")}`;
}

const MONTHS = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];

// the clock on the wall where it was written, as the record tells it: Jan 31, 2026, 2:23 p.m.
export function when(iso) {
  const parts = /^(\d{4})-(\d\d)-(\d\d)T(\d\d):(\d\d)/.exec(iso);
  if (parts === null) return iso || "time not known";
  const [year, month, day, hour] = parts.slice(1, 5).map(Number);
  return `${MONTHS[month - 1]} ${day}, ${year}, ${hour % 12 || 12}:${parts[5]} ${hour < 12 ? "a.m." : "p.m."}`;
}

export function idInPath() {
  return location.pathname.split("/")[2] || "";
}

export function sentence(text) {
  return text.slice(0, 1).toUpperCase() + text.slice(1);
}
