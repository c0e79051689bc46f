// Handles of a drawing: plumb lines and points are sliders, moved by a drag or, when focused, by the arrow keys.

let gestures = Date.now(); // a page that is loaded anew names no gesture that was

export function slides(send) {
  const told = (slide, value, gesture) => send({ do: "put", at: slide.at, value: `${round(value, slide.step)} ${slide.unit}`, label: slide.label, gesture });

  drag("[data-slide]", (handle) => {
    const { id } = handle, gesture = `slide-${++gestures}`;
    let last = null;
    return (now) => {
      const held = document.getElementById(id); // the drawing may have been drawn anew
      if (!held) return;
      const slide = JSON.parse(held.dataset.slide);
      const value = round(valueAt(held.ownerSVGElement, slide, now), slide.step);
      if (value === last) return;
      last = value;
      told(slide, value, gesture);
    };
  });

  let held = "", gesture = "", at = NaN; // the handle in hand, and where it was last put, which the server may not have answered yet
  document.addEventListener("keydown", (event) => {
    const handle = event.target.closest?.("[data-slide]");
    if (!handle) return;
    const way = { ArrowRight: 1, ArrowUp: 1, ArrowLeft: -1, ArrowDown: -1 }[event.key];
    if (!way) return;
    event.preventDefault();
    if (held !== handle.id) {
      held = handle.id;
      gesture = `slide-${++gestures}`;
      at = Number(handle.getAttribute("aria-valuenow"));
    }
    const slide = JSON.parse(handle.dataset.slide);
    const step = slide.step * (event.shiftKey ? 10 : event.altKey ? 0.1 : 1);
    at = Math.min(Math.max(at + way * step, slide.low), slide.high);
    send({ do: "put", at: slide.at, value: `${round(at, Math.min(step, slide.step))} ${slide.unit}`, label: slide.label, gesture });
  });
  document.addEventListener("focusout", () => { held = ""; });
}

// What is taken hold of by the pointer follows it until it is let go: `begin` is given the handle and gives what each move does.
export function drag(handles, begin) {
  document.addEventListener("pointerdown", (event) => {
    const handle = event.target.closest?.(handles);
    if (!handle || event.button !== 0) return;
    event.preventDefault();
    handle.focus();
    const move = begin(handle, event);
    const up = (ended) => {
      document.removeEventListener("pointermove", move);
      document.removeEventListener("pointerup", up);
      document.removeEventListener("pointercancel", up);
      move.ends?.(ended.type === "pointerup");
    };
    document.addEventListener("pointermove", move);
    document.addEventListener("pointerup", up);
    document.addEventListener("pointercancel", up); // the browser took the hand for a scroll
  });
}

function valueAt(svg, slide, event) {
  const box = svg.getBoundingClientRect(), view = svg.viewBox.baseVal;
  const x = (event.clientX - box.left) * (view.width / box.width) + view.x;
  const y = (event.clientY - box.top) * (view.height / box.height) + view.y;
  const share = slide.vertical ? 1 - (y - slide.top) / slide.tall : x / slide.wide;
  return slide.low + Math.min(Math.max(share, 0), 1) * (slide.high - slide.low);
}

export function round(value, step) {
  const places = (String(Number(step.toPrecision(6))).split(".")[1] ?? "").length;
  return (Math.round(value / step) * step).toFixed(places);
}
