// Blanks: Enter commits and stays, Esc puts back what was there, arrows step the last shown digit, a sideways drag steps it too.

let gestures = Date.now(); // a page that is loaded anew names no gesture that was

export function blanks(send) {
  const kept = new WeakMap(); // what a blank held when it was entered
  let gesture = "";

  function commit(blank, value, by) {
    delete blank.dataset.dirty;
    kept.set(blank, value);
    send({ do: "put", at: JSON.parse(blank.dataset.at), value, label: blank.getAttribute("aria-label"), gesture: by || "", blank });
  }

  document.addEventListener("focusin", (event) => {
    if (!event.target.dataset?.at) return;
    kept.set(event.target, event.target.value);
    gesture = `step-${++gestures}`;
  });

  document.addEventListener("input", (event) => {
    const { target } = event;
    if (target.dataset.at && target.tagName === "INPUT") {
      target.dataset.dirty = "1";
      target.size = Math.max(target.value.length, 2);
    }
  });

  document.addEventListener("focusout", (event) => {
    const { target } = event;
    if (target.dataset?.at && target.dataset.dirty && target.value !== kept.get(target)) commit(target, target.value);
    else if (target.dataset?.dirty && target.dataset.at) delete target.dataset.dirty;
  });

  document.addEventListener("change", (event) => {
    if (event.target.dataset.at && event.target.tagName === "SELECT") commit(event.target, event.target.value);
  });

  document.addEventListener("keydown", (event) => {
    const blank = event.target;
    if (!blank.dataset?.at && blank.dataset?.view !== "speed") return;
    if (event.key === "Enter" && blank.dataset.at && blank.tagName === "INPUT") {
      event.preventDefault();
      if (blank.value !== kept.get(blank) || blank.getAttribute("aria-invalid")) commit(blank, blank.value); // as it was, it says nothing
    } else if (event.key === "Escape") {
      blank.value = kept.get(blank) ?? blank.value;
      delete blank.dataset.dirty;
    } else if ((event.key === "ArrowUp" || event.key === "ArrowDown") && blank.dataset.at && blank.tagName === "INPUT") {
      const by = (event.key === "ArrowUp" ? 1 : -1) * (event.shiftKey ? 10 : 1);
      const value = stepped(blank.value, by, event.altKey);
      if (value === null) return;
      event.preventDefault();
      blank.value = value;
      commit(blank, value, gesture);
    }
  });

  // A drag begun on a blank that is not being typed in.
  document.addEventListener("pointerdown", (event) => {
    const blank = event.target;
    if (!blank.dataset?.at || blank.tagName !== "INPUT" || blank === document.activeElement || event.button !== 0) return;
    const from = event.clientX, text = blank.value, name = `drag-${++gestures}`;
    let moved = false;
    const move = (now) => {
      const by = Math.round((now.clientX - from) / 4);
      if (!moved && Math.abs(now.clientX - from) < 5) return;
      moved = true;
      const value = stepped(text, by, false);
      if (value === null || value === blank.value) return;
      blank.value = value;
      commit(blank, value, name);
    };
    const up = () => {
      document.removeEventListener("pointermove", move);
      document.removeEventListener("pointerup", up);
      if (moved) blank.blur();
    };
    document.addEventListener("pointermove", move);
    document.addEventListener("pointerup", up);
  });
}

// The text with its last shown digit moved by so many, its unit kept; null where there is no number in front.
export function stepped(text, by, finer) {
  const match = text.replace(/\u2212/g, "-").match(/^\s*(-?[\d\s\u202f\u00a0]*\.?\d*)(.*)$/);
  if (!match) return null;
  const digits = match[1].replace(/[\s\u202f\u00a0]/g, "");
  if (!/\d/.test(digits)) return null;
  const places = (digits.split(".")[1] ?? "").length + (finer ? 1 : 0);
  const value = (Number(digits) + by * 10 ** -places).toFixed(places);
  const unit = match[2].trim();
  return (unit ? `${value} ${unit}` : value).replace("-", "\u2212");
}
