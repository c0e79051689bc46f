// A dotted term pointed at or focused has its meaning told in the margin beside it, or where no margin is in sight, under the tape;
// nothing pops over the sheet.

export function terms() {
  let told = null;
  const hide = () => { told?.remove(); told = null; };
  const show = (term) => {
    hide();
    const near = [...(term.closest("section")?.querySelectorAll(":scope > aside") ?? [])].find((one) => {
      const box = one.getBoundingClientRect();
      return box.left > term.getBoundingClientRect().right && Math.abs(box.top - term.getBoundingClientRect().top) < 160;
    });
    const place = near ?? document.querySelector(".busy");
    if (!place) return;
    told = document.createElement("p");
    told.className = "def soft";
    const word = document.createElement("b");
    word.textContent = `${term.textContent}: `;
    told.append(word, term.dataset.means);
    place.prepend(told);
  };
  for (const kind of ["focusin", "pointerover"]) {
    document.addEventListener(kind, (event) => { if (event.target.tagName === "DFN") show(event.target); });
  }
  for (const kind of ["focusout", "pointerout"]) {
    document.addEventListener(kind, (event) => { if (event.target.tagName === "DFN") hide(); });
  }
}
