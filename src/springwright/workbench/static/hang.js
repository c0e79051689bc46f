// What is told beside the hand: notes hang in the margin level with the blank they are about, and what the hand is on keeps its place.

const GAP = 8;
let pointed = null; // where the pointer is
let pressed = null; // the place of the design that was pressed or written last
let stood = []; // where that stood, by what it is in

document.addEventListener("pointermove", (event) => { pointed = [event.clientX, event.clientY]; }, { passive: true });
document.addEventListener("pointerdown", (event) => { pointed = [event.clientX, event.clientY]; }, { passive: true, capture: true });
for (const kind of ["pointerdown", "focusin", "change"]) {
  document.addEventListener(kind, (event) => {
    const on = event.target.closest?.("[data-at], [data-do], [data-pick], [data-slide], summary, select, input");
    if (on) pressed = on;
    if (on?.closest("main")) stood = ways(on);
  }, { passive: true, capture: true });
}

// The section in which something was pressed or written last.
export function within() {
  return pressed?.isConnected ? pressed.closest("main > section[id]")?.id ?? "" : "";
}

// What an element is in, by name, nearest first: where each stands, and how far below its head the element's foot.
function ways(one) {
  const found = [], foot = one.getBoundingClientRect().bottom;
  for (let at = one; at && at !== document.body; at = at.parentElement) {
    const { top } = at.getBoundingClientRect();
    if (at.id) found.push({ id: at.id, top, down: foot - top });
  }
  return found;
}

// The first of these that is there now.
function stillThere(found) {
  for (const way of found) {
    const one = document.getElementById(way.id);
    if (one?.checkVisibility()) return { one, ...way };
  }
  return null;
}

// What is read where the hand is on nothing of the sheet: what was pressed in it last, or what stands just beneath the band.
function read() {
  const last = stood[0] && document.getElementById(stood[0].id);
  if (last && inSight(last)) return last;
  const band = document.querySelector(".band"), main = document.querySelector("main");
  if (!main) return null;
  const { left, width } = main.getBoundingClientRect();
  const one = document.elementFromPoint(left + width / 2, Math.max(band?.getBoundingClientRect().bottom ?? 0, 0) + 24);
  return one?.closest("main") && one !== main ? one : null;
}

// The element the hand is on: that under the pointer where it is in the page, else what has the focus.
function held() {
  const band = document.querySelector(".band");
  const focus = document.activeElement;
  const under = pointed && document.elementFromPoint(...pointed);
  return [focus, under].find((one) => one && one !== document.body && one.closest("main") && !band?.contains(one) && inSight(one)) ?? null;
}

function inSight(one) {
  const box = one.getBoundingClientRect();
  return box.bottom > 0 && box.top < innerHeight;
}

let kept = null; // what the hand was on last, and where it was then: many small shifts must not add up
let ours = false; // whether the page is scrolled by what follows
for (const kind of ["wheel", "touchmove", "pointerdown", "focusin"]) document.addEventListener(kind, () => { kept = null; }, { passive: true, capture: true });
addEventListener("scroll", () => { if (!ours) kept = null; ours = false; }, { passive: true });

// Changes the page and leaves what the hand is on where it was.
export function still(change) {
  const one = held() ?? read();
  const name = one?.id, around = one ? ways(one) : [];
  if (one && !(kept && (kept.one === one || (name && kept.name === name)))) kept = { one, name, top: one.getBoundingClientRect().top };
  const from = kept; // a focus that moves within the change forgets it
  change();
  const now = one?.isConnected ? one : name ? document.getElementById(name) : null;
  const near = now ? null : stillThere(around); // it is gone: what it was in stays where it was
  if (!now && !near) return;
  const moved = now ? now.getBoundingClientRect().top - from.top : near.one.getBoundingClientRect().top - near.top;
  if (Math.abs(moved) > 0.5) {
    ours = true;
    scrollBy({ top: moved, behavior: "instant" });
  }
}

// Puts every note of every margin level with what it is about; one that would touch the one above it stands below that.
export function hang() {
  for (const lane of document.querySelectorAll("aside")) {
    const notes = [...lane.querySelectorAll(".note, .diffs")];
    if (!notes.length) continue;
    if (getComputedStyle(notes[0]).position !== "absolute") {
      for (const note of notes) note.style.removeProperty("top");
      continue;
    }
    const from = lane.getBoundingClientRect().top;
    const wanted = notes.map((note) => [note, level(note, lane) - from]).sort((a, b) => a[1] - b[1]);
    let free = 0;
    for (const [note, top] of wanted) {
      const at = Math.max(top, free);
      note.style.top = `${Math.round(at)}px`;
      free = at + note.offsetHeight + GAP;
    }
  }
}

// The foot of the blank that a note is about, in the window; where there is none, of what was pressed last.
function level(note, lane) {
  const section = lane.closest("section");
  const blank = note.id && section.querySelector(`[aria-describedby="${CSS.escape(note.id)}"]`);
  const about = note.dataset.beside && [...section.querySelectorAll("[data-at]")].find((one) => one.dataset.at === note.dataset.beside && one.checkVisibility());
  const last = pressed?.isConnected && section.contains(pressed) ? pressed : null;
  const own = [last?.dataset?.at === note.dataset.beside ? last : null, blank, about, last].find(Boolean);
  if (own) return own.getBoundingClientRect().bottom;
  const near = stillThere(stood.filter((way) => section.contains(document.getElementById(way.id)))); // it went with what it did
  return near ? near.one.getBoundingClientRect().top + near.down : lane.getBoundingClientRect().top;
}

// What is moved to stands below the band, however tall that is.
const band = document.querySelector(".band");
new ResizeObserver(() => {
  const tall = getComputedStyle(band).position === "sticky" ? band.offsetHeight : 0;
  document.documentElement.style.setProperty("--band", `${tall}px`);
}).observe(band);

addEventListener("resize", hang);
document.addEventListener("toggle", hang, true);
