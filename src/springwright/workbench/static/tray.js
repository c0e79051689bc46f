// Kinds as drawings: the arrow keys walk a row, a press or Enter takes, Esc folds them and leaves all as it was.

export function tray(send) {
  document.addEventListener("click", (event) => {
    const kind = event.target.closest("[data-take]");
    if (kind) send({ ...JSON.parse(kind.dataset.take), tray: true });
  });
  document.addEventListener("keydown", (event) => {
    const kind = event.target.closest?.(".kind");
    if (!kind) return;
    if (event.key === "Escape") {
      send({ do: "tray", axle: Number(kind.closest("[data-tray]").dataset.tray), open: false });
      return;
    }
    const row = [...kind.parentElement.children], along = { ArrowRight: 1, ArrowLeft: -1 }[event.key], across = { ArrowDown: 1, ArrowUp: -1 }[event.key];
    if (!along && !across) return;
    event.preventDefault();
    const rows = [...kind.closest(".tray").querySelectorAll(".kinds > div")];
    const next = along
      ? row[(row.indexOf(kind) + along + row.length) % row.length]
      : rows[rows.indexOf(kind.parentElement) + across]?.querySelector(".kind[tabindex='0']");
    if (!next) return;
    if (along) row.forEach((one) => { one.tabIndex = one === next ? 0 : -1; });
    next.focus();
  });
}
