// The pairing page. A link from the terminal carries a secret behind '#', which no browser sends anywhere.
const form = document.getElementById("form");
const code = document.getElementById("code");
const trouble = document.getElementById("trouble");

async function pair(given) {
  trouble.textContent = "";
  let answer;
  try {
    answer = await fetch("/api/pair", {
      method: "POST", headers: { "content-type": "application/json" }, body: JSON.stringify({ code: given }),
    });
  } catch {
    trouble.textContent = "The machine that serves this page cannot be reached.";
    return;
  }
  const told = await answer.json().catch(() => ({}));
  if (answer.ok) {
    location.replace("/");
    return;
  }
  trouble.textContent = told.error || "That did not work. Try again.";
  code.select();
  code.focus();
}

form.addEventListener("submit", (event) => {
  event.preventDefault();
  pair(code.value);
});

if (/^#[\w-]{8,64}$/.test(location.hash)) {
  const secret = location.hash.slice(1);
  history.replaceState(null, "", "/pair");
  pair(secret);
} else {
  code.focus();
}
