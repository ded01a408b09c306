// Shown in place of any view while the machine cannot be reached; the address stays that of the view.

const EVERY = 3000; // milliseconds
const state = document.getElementById("state");

// answers given in this tab whose fate is not known
function waiting() {
  const found = [];
  for (let at = 0; at < sessionStorage.length; at += 1) {
    const name = sessionStorage.key(at);
    if (!name.startsWith("leadsman-unsent-")) continue;
    try {
      for (const one of JSON.parse(sessionStorage.getItem(name))) found.push(one.message.text);
    } catch {
      // written by something else: not ours to tell
    }
  }
  return found;
}

async function look() {
  state.textContent = "Trying\u2026";
  try {
    await fetch("/api/stay", { cache: "no-store" });
  } catch {
    state.textContent = "Still no line. It is tried again by itself.";
    return;
  }
  if (location.pathname === "/offline") location.replace("/");
  else location.reload();
}

const answers = waiting();
if (answers.length) {
  document.getElementById("kept").textContent = "Not yet taken. Kept on this device, and sent once when the line is back:";
  document.getElementById("answers").replaceChildren(...answers.map((text) => {
    const item = document.createElement("li");
    item.textContent = `\u201c${text}\u201d`;
    return item;
  }));
}
document.getElementById("again").addEventListener("click", look);
window.addEventListener("online", look);
setInterval(look, EVERY);
