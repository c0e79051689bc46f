import { drag, round } from "./slides.js";

// A design file brought to the page: read here, sent as text, opened if it is one.

const form = document.getElementById("bring"), said = document.getElementById("bring-said");

form.addEventListener("submit", async (event) => {
  event.preventDefault();
  const file = document.getElementById("bring-file").files[0];
  if (!file) { said.textContent = "Choose a file first."; return; }
  said.textContent = "Reading it.";
  const answer = await fetch(`bring/${encodeURIComponent(file.name)}`, { method: "POST", body: file, headers: { "content-type": "application/toml" } });
  if (answer.ok) location.href = (await answer.json()).to;
  else said.textContent = await answer.text();
});
form.inert = false; // pressed before the page listens, it would only load the page anew

// The first number, worked out by the workbench as one types; what was written last of frequency, wheel rate and spring rate leads.
const first = document.getElementById("first");
let asked = 0, waiting = null;

async function ask() {
  const mine = ++asked;
  document.getElementById("first-lever").hidden = first.elements.on.value !== "lever";
  const answer = await fetch(`first?${new URLSearchParams(new FormData(first))}`);
  if (mine !== asked || !answer.ok) return;
  const told = await answer.json();
  document.getElementById("first-said").textContent = told.fault ?? "";
  document.getElementById("first-told").classList.toggle("late", Boolean(told.fault));
  if (told.fault) return;
  for (const name of ["frequency", "wheel_rate", "spring_rate"]) {
    const blank = first.elements[name];
    if (told[name] !== undefined && blank !== document.activeElement) blank.value = told[name];
  }
  document.getElementById("first-told").innerHTML = told.html;
}

first.addEventListener("input", (event) => {
  if (["frequency", "wheel_rate", "spring_rate"].includes(event.target.name)) first.elements.given.value = event.target.name;
  clearTimeout(waiting);
  waiting = setTimeout(ask, 120);
});
ask();

// The ends of the lever's dimensions are drawn along; the arrow keys step them.
let held = null, at = 0, told_in = ""; // the end in hand, and where it was last put, in which unit
const put = (end, value) => {
  const { field, unit, step } = JSON.parse(end.dataset.end);
  first.elements[field].value = `${round(Math.max(value, step), step)} ${unit}`;
  clearTimeout(waiting);
  waiting = setTimeout(ask, 30);
};
drag("[data-end]", (end, event) => {
  const { now, per } = JSON.parse(end.dataset.end), svg = end.ownerSVGElement, from = event.clientX;
  const scale = svg.viewBox.baseVal.width / svg.getBoundingClientRect().width;
  return (moved) => put(end, now + (moved.clientX - from) * scale * per);
});
document.addEventListener("keydown", (event) => {
  const end = event.target.closest?.("[data-end]"), way = { ArrowRight: 1, ArrowUp: 1, ArrowLeft: -1, ArrowDown: -1 }[event.key];
  if (!end || !way) return;
  event.preventDefault();
  const { now, step, unit } = JSON.parse(end.dataset.end);
  if (held !== end.id || told_in !== unit) at = now;
  [held, told_in] = [end.id, unit];
  at = Math.max(at + way * step * (event.shiftKey ? 10 : 1), step);
  put(end, at);
});
new MutationObserver(() => { if (held) document.getElementById(held)?.focus(); }).observe(document.getElementById("first-told"), { childList: true });
document.addEventListener("focusin", (event) => { if (!event.target.closest("[data-end]")) held = null; });

// What is known of each design at a glance comes after the page, one after the other.
for (const one of document.querySelectorAll("[data-glance]")) {
  try {
    const answer = await fetch(`glance?${one.dataset.glance}`);
    if (!answer.ok) continue;
    const { svg, name, said } = await answer.json();
    one.querySelector(".side").innerHTML = svg;
    one.querySelector("button").textContent = name;
    const word = one.querySelector(".said");
    if (word) word.textContent = said;
  } catch { break; } // the workbench has gone
}
