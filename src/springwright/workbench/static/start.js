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
