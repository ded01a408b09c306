// What is wrong with how a screen stands: words or keys that are covered, cut off, off the screen or too small.
() => {
  const wrong = [];
  const wide = document.documentElement.clientWidth, high = window.innerHeight;
  const seen = (one) => one.getClientRects().length > 0 && getComputedStyle(one).visibility !== "hidden";
  const name = (one) => one.id || one.textContent.trim().slice(0, 24);
  if (document.documentElement.scrollHeight > high + 1) wrong.push("the page scrolls");
  for (const id of ["tell", "enter"]) {
    const box = document.getElementById(id);
    if (seen(box) && box.scrollHeight > box.clientHeight + 1) wrong.push(`${id} is cut by ${box.scrollHeight - box.clientHeight} px`);
  }
  const keys = [...document.querySelectorAll("#enter button, #enter a, #enter input, .rail button, #floor")].filter(seen);
  for (const key of keys) {
    const at = key.getBoundingClientRect();
    if (at.left < -1 || at.top < -1 || at.right > wide + 1 || at.bottom > high + 1) {
      wrong.push(`${name(key)} is off the screen`);
      continue;
    }
    const there = document.elementFromPoint((at.left + at.right) / 2, (at.top + at.bottom) / 2);
    if (there !== key && !key.contains(there)) wrong.push(`${name(key)} is covered by ${there ? name(there) : "nothing"}`);
    if (key.tagName === "BUTTON" && key.scrollWidth > key.clientWidth + 1) wrong.push(`${name(key)} is cut`);
    const glove = key.closest("#enter, .rail") && key.tagName === "BUTTON";
    if (glove && (at.width < 56.6 || at.height < 56.6)) wrong.push(`${name(key)} is ${Math.round(at.width)} by ${Math.round(at.height)}`);
  }
  for (const id of ["prompt", "limits", "place", "last", "caution"]) {
    const one = document.getElementById(id);
    if (!seen(one)) continue;
    const at = one.getBoundingClientRect(), box = document.getElementById("tell").getBoundingClientRect();
    if (at.top < box.top - 1 || at.bottom > box.bottom + 1 || at.right > wide + 1) wrong.push(`${id} is not on the screen`);
  }
  return wrong;
}
