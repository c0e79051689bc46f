// Logs brought to Measure, dropped on a reading or chosen: laid beside the design by the workbench of this machine, sent nowhere else.

export function brought(sheet, speak) {
  async function lay(file, at) {
    speak(`Laying ${file.name} beside the design.`);
    const answer = await fetch(`${sheet}/log/${encodeURIComponent(file.name)}?at=${at}`, { method: "POST", body: file, headers: { "content-type": "text/csv" } });
    const said = await answer.text();
    speak(said);
    const place = document.getElementById("brought-said");
    if (place) place.textContent = answer.ok ? "" : said;
  }

  const over = (event) => (event.dataTransfer?.types.includes("Files") ? event.target.closest?.("#measure") : null);
  const at = (target) => target.closest("[data-lay]")?.dataset.lay ?? "";

  document.addEventListener("dragover", (event) => {
    if (over(event)) event.preventDefault();
  });
  document.addEventListener("drop", async (event) => {
    if (!over(event)) return;
    event.preventDefault();
    for (const file of event.dataTransfer.files) await lay(file, at(event.target));
  });
  document.addEventListener("change", async (event) => {
    const { target } = event;
    if (target.type !== "file" || !target.closest("#measure")) return;
    for (const file of target.files) await lay(file, at(target));
    target.value = "";
  });
}
