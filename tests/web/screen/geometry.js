// What is wrong with how a screen stands: words or keys that are covered, cut off, off the screen or too small.
() => {
  const wrong = [];
  const wide = document.documentElement.clientWidth, high = window.innerHeight;
  // Keys for gloves are 15 mm. CSS has 96 px an inch, but a phone of 390 px is about 71 mm wide and a tablet of 768 px
  // about 148 mm (common practice, no source). One screen is too low for them: a phone held upright at a reading, where
  // five rows of 82.5 px, the unit's bar (40), the line that is typed on (46) and the gaps (44) are 543 px, and words
  // that are still read at the longest question take 185: lower than 728 px a key is a fifth of what the rest leaves.
  const glass = window.matchMedia("(pointer: coarse)").matches;
  const phone = Math.min(wide, high) < 500;
  const mm = !glass ? 96 / 25.4 : phone ? 390 / 71 : 768 / 148;
  const large = document.body.classList.contains("large");
  const lowest = !large && wide < high && document.body.classList.contains("padded") ? (high - 315) / 5 : Infinity;
  const least = Math.min(mm * 15, glass ? lowest : Infinity) - 0.1;
  const seen = (one) => one.getClientRects().length > 0 && getComputedStyle(one).visibility !== "hidden";
  const named = (one) => one.id || one.textContent.trim().slice(0, 24);
  // where the device's text is large, keys may lie below, behind a scroll; what is asked may not, and nothing is too wide
  const page = document.documentElement;
  if (page.scrollWidth > wide || wide > screen.width) wrong.push(`the page is ${page.scrollWidth} wide`);
  if (!large && page.scrollHeight > high + 1) wrong.push("the page scrolls");
  for (const id of large ? [] : ["tell", "enter"]) {
    const box = document.getElementById(id);
    if (seen(box) && box.scrollHeight > box.clientHeight + 1) wrong.push(`${id} is cut by ${box.scrollHeight - box.clientHeight} px`);
  }
  const keys = [...document.querySelectorAll("#enter button, #enter a, #enter input, .rail button, #floor")].filter(seen);
  for (const key of keys) {
    if (large) key.scrollIntoView({ block: "center" });
    const at = key.getBoundingClientRect();
    if (at.left < -1 || at.top < -1 || at.right > wide + 1 || at.bottom > high + 1) {
      wrong.push(`${named(key)} is off the screen`);
      continue;
    }
    const there = document.elementFromPoint((at.left + at.right) / 2, (at.top + at.bottom) / 2);
    if (there !== key && !key.contains(there)) wrong.push(`${named(key)} is covered by ${there ? named(there) : "nothing"}`);
    if (key.tagName === "BUTTON" && key.scrollWidth > key.clientWidth + 1) wrong.push(`${named(key)} is cut`);
    const glove = key.closest("#enter, .rail") && key.tagName === "BUTTON";
    if (glove && (at.width < least || at.height < least)) wrong.push(`${named(key)} is ${Math.round(at.width)} by ${Math.round(at.height)}`);
  }
  if (large) window.scrollTo(0, 0);
  const rail = document.getElementById("rail").getBoundingClientRect();
  for (const id of ["prompt", "limits", "place", "last", "caution", "found", "parts"]) {
    const one = document.getElementById(id);
    if (!seen(one) || (large && id === "parts")) continue; // cautions and what goes back may lie below with their keys
    const at = one.getBoundingClientRect();
    const box = large ? { top: 0, bottom: rail.height > rail.width ? high : rail.top } : document.getElementById("tell").getBoundingClientRect();
    if (at.top < box.top - 1 || at.bottom > box.bottom + 1 || at.right > wide + 1) wrong.push(`${id} is not on the screen`);
  }
  const here = document.getElementById("limits-here"), hidden = !seen(document.getElementById("limits"));
  if (here.textContent && hidden && !(seen(here) && here.scrollWidth <= here.clientWidth + 1)) wrong.push("the limits are not seen");
  if (seen(here) && parseFloat(getComputedStyle(here).fontSize) < 14) wrong.push("the limits are small");
  const name = document.getElementById("unit");
  if (name.scrollWidth > name.clientWidth + 1 || name.getBoundingClientRect().right > wide) wrong.push("the unit is cut");
  // on a phone the drawing, or a key that opens it, stands at every prompt that has one
  const drawn = document.getElementById("pictures").childElementCount > 0;
  const opens = ["glance", "hands", "pictures"].some((id) => seen(document.getElementById(id)));
  if (drawn && !opens && !large) wrong.push("nothing shows where the hands go");
  const padded = seen(document.getElementById("pad"));
  for (const key of document.querySelectorAll("#answers button")) {
    const at = key.getBoundingClientRect();
    if (/^(Yes|No)$/.test(key.textContent) && (padded || at.width < 100 || at.height < least)) wrong.push(`${key.textContent} is small`);
  }
  // cautions and what goes back are no smaller than the question under them, and each stands apart
  const asks = parseFloat(getComputedStyle(document.getElementById("prompt")).fontSize);
  const parts = [...document.querySelectorAll("#parts li")];
  parts.forEach((one, at) => {
    if (parseFloat(getComputedStyle(one).fontSize) < asks * 0.85) wrong.push(`part ${at + 1} is smaller than the question`);
    if (at && one.getBoundingClientRect().top - parts[at - 1].getBoundingClientRect().bottom < 4) wrong.push(`part ${at + 1} touches the one before`);
  });
  return wrong;
}
