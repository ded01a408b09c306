// One record, as the server made it: print it, or go on with its session.
import { ask, idInPath, newKey } from "/assets/common.js";

const by = (id) => document.getElementById(id);

by("print")?.addEventListener("click", () => window.print());
by("goon")?.addEventListener("click", async () => {
  try {
    const told = await ask("/api/resume", { id: idInPath(), key: newKey() });
    location.assign(`/session/${encodeURIComponent(told.id)}`);
  } catch (error) {
    by("trouble").textContent = error.message;
  }
});
