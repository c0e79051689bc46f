// Joints of a drawing are moved where they are seen, by a drag or, when focused, by the arrow keys; the true value stands beside the hand.

import { drag, round } from "./slides.js";

let gestures = Date.now(); // a page that is loaded anew names no gesture that was

export function joints(send) {
  // Only what was moved is written: a drag across changes no height.
  const told = (move, values, gesture) => {
    const moved = move.axes.map((axis, k) => [axis, `${round(values[k], move.step)} ${move.unit}`]).filter((_, k) => Math.abs(values[k] - move.now[k]) > move.step / 2);
    if (moved.length) send({ do: "move", at: move.at, values: moved, label: move.label, gesture });
  };

  drag("[data-move]", (handle, event) => {
    const move = JSON.parse(handle.dataset.move), svg = handle.ownerSVGElement, gesture = `joint-${++gestures}`;
    const scale = svg.viewBox.baseVal.width / svg.getBoundingClientRect().width, from = [event.clientX, event.clientY];
    let last = "";
    return (now) => {
      const gone = [now.clientX - from[0], now.clientY - from[1]];
      const values = move.now.map((at, k) => at + gone[move.ways[k]] * scale * move.per[k]);
      const text = values.map((one) => round(one, move.step)).join();
      if (text === last) return;
      last = text;
      told(move, values, gesture);
    };
  });

  let held = "", gesture = "", at = null; // the joint in hand, and where it was last put, which the server may not have answered yet
  document.addEventListener("keydown", (event) => {
    const handle = event.target.closest?.("[data-move]");
    const way = { ArrowRight: [1, 0], ArrowLeft: [-1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key];
    if (!handle || !way) return;
    event.preventDefault();
    const move = JSON.parse(handle.dataset.move), k = move.ways.findIndex((one) => way[one]);
    if (k < 0) return; // it moves the other way alone
    if (held !== handle.id) {
      held = handle.id;
      gesture = `joint-${++gestures}`;
      at = [...move.now];
    }
    const step = move.step * (event.shiftKey ? 10 : event.altKey ? 0.1 : 1);
    at[k] += way[move.ways[k]] * Math.sign(move.per[k]) * step;
    send({ do: "move", at: move.at, values: [[move.axes[k], `${round(at[k], Math.min(step, move.step))} ${move.unit}`]], label: move.label, gesture });
  });
  document.addEventListener("focusout", () => { held = ""; });
}
