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
