// A yes to a list counts by tap only once the list has been in sight to its end: cautions, and what goes back together.
const by = (id) => document.getElementById(id);
let read = ""; // the turn whose list has been

export function look() {
  const turn = by("ask").dataset.turn;
  const last = by("parts").lastElementChild;
  const listed = last !== null && last.getClientRects().length > 0;
  if (!listed || last.getBoundingClientRect().bottom <= edge() + 1) read = turn;
  for (const key of by("answers").querySelectorAll("button.main")) {
    key.classList.toggle("unread", read !== turn);
    if (read === turn) key.removeAttribute("aria-describedby");
    else key.setAttribute("aria-describedby", "unread");
  }
}

// under what the list is not seen
function edge() {
  const box = by("tell").getBoundingClientRect();
  const keys = by("enter");
  const kept = getComputedStyle(keys).position === "sticky" ? keys.offsetHeight : 0;
  const page = edgeOfRail() - kept;
  return box.height > 0 ? Math.min(box.bottom, page) : page;
}

// where the rail begins that lies along the bottom; held sideways it stands at the side
export function edgeOfRail() {
  const { width, height } = by("rail").getBoundingClientRect();
  return window.innerHeight - (height < width ? height : 0);
}

document.addEventListener("scroll", look, { capture: true, passive: true });
