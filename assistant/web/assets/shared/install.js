// Keeps our page for when the machine cannot be reached. A browser does that only where it trusts the certificate.

const WORKER = "/worker.js";

// true where it is kept, false where this browser will not
export async function keepOfflinePage() {
  if (!navigator.serviceWorker) return false;
  try {
    // the page's policy takes the address of a script from this maker alone, and it makes only one
    const maker = window.trustedTypes?.createPolicy("leadsman-worker", { createScriptURL: () => WORKER });
    await navigator.serviceWorker.register(maker ? maker.createScriptURL("") : WORKER, { updateViaCache: "none" });
    return true;
  } catch {
    return false;
  }
}
