// The front: ranges kept on its scales, which designs outside them step back from everywhere, and a walk along its beads.

import { speak } from "./live.js";

const kept = new Map(); // by the head of a scale: the figures at the near and at the far end, which stay while its ends change
const SVG = "http://www.w3.org/2000/svg", LEAST = 0.02; // of a scale, that a drag must go to be one

export function fronts() {
  document.addEventListener("pointerdown", (event) => {
    const scale = event.target.closest?.("[data-scale]");
    if (!scale || event.button !== 0) return;
    event.preventDefault();
    scale.focus();
    const data = JSON.parse(scale.dataset.scale), svg = scale.ownerSVGElement, begun = shareAt(svg, data, event);
    let far = begun;
    const move = (now) => {
      far = shareAt(svg, data, now);
      if (Math.abs(far - begun) > LEAST) keep(data, begun, far);
    };
    const up = () => {
      document.removeEventListener("pointermove", move);
      document.removeEventListener("pointerup", up);
      if (Math.abs(far - begun) <= LEAST) kept.delete(data.head);
      refilter();
      tell(data);
    };
    document.addEventListener("pointermove", move);
    document.addEventListener("pointerup", up);
  });
  document.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const scale = event.target.closest?.("[data-scale]"), bead = event.target.closest?.("g.bead[data-design]");
    if (scale) step(JSON.parse(scale.dataset.scale), event);
    else if (bead) walk(bead, event);
  });
}

// Arrows move the near end, the upper; with Shift the far end.
function step(data, event) {
  const way = { ArrowUp: -LEAST, ArrowDown: LEAST }[event.key];
  if (event.key === "Escape") kept.delete(data.head);
  else if (!way) return;
  else {
    const [low, high] = range(data) ?? [0, 1];
    if (event.shiftKey) keep(data, low, Math.max(high + way, low + LEAST));
    else keep(data, Math.min(low + way, high - LEAST), high);
  }
  event.preventDefault();
  refilter();
  tell(data);
}

function walk(bead, event) {
  const way = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 }[event.key];
  if (!way) return;
  event.preventDefault();
  const all = [...bead.ownerSVGElement.querySelectorAll("g.bead[data-design]:not(.out)")];
  const next = all[Math.min(Math.max(all.indexOf(bead) + way, 0), all.length - 1)];
  for (const one of all) one.setAttribute("tabindex", one === next ? "0" : "-1");
  next?.focus();
}

function keep(data, one, other) {
  const [near, far] = [Math.max(Math.min(one, other), 0), Math.min(Math.max(one, other), 1)];
  kept.set(data.head, [near, far].map((share) => data.ends[0] + share * (data.ends[1] - data.ends[0])));
  refilter();
}

// The range that is kept of a scale, as shares of its length from the top; none where it is whole.
function range(data) {
  const long = data.ends[1] - data.ends[0];
  return long ? kept.get(data.head)?.map((figure) => Math.min(Math.max((figure - data.ends[0]) / long, 0), 1)) : undefined;
}

// What is outside a range that is kept steps back, on the scales and on the front alike.
export function refilter() {
  const told = document.querySelector("[data-counted]");
  if (!told) return;
  const ranges = [];
  for (const one of document.querySelectorAll("[data-scale]")) {
    one.querySelector(".kept")?.remove();
    const data = JSON.parse(one.dataset.scale), held = range(data);
    if (!held) continue;
    ranges.push([data.number, ...held]);
    const mark = document.createElementNS(SVG, "rect"), tall = data.foot - data.top;
    mark.setAttribute("class", "kept");
    for (const [name, value] of Object.entries({ x: data.x - 5, width: 10, y: data.top + held[0] * tall, height: (held[1] - held[0]) * tall })) mark.setAttribute(name, value);
    one.append(mark);
  }
  const out = new Set();
  for (const bead of document.querySelectorAll("g.bead[data-crosses]")) {
    const shares = bead.dataset.crosses.split(" ").map(Number);
    const inside = ranges.every(([number, low, high]) => shares[number] >= low - 1e-3 && shares[number] <= high + 1e-3);
    if (!inside) out.add(bead.dataset.design);
  }
  for (const one of document.querySelectorAll("g.design[data-design], g.bead[data-design]")) one.classList.toggle("out", out.has(one.dataset.design));
  told.textContent = `${told.dataset.counted - out.size} of the ${told.dataset.counted}`;
}

function tell(data) {
  const held = kept.get(data.head), left = document.querySelector("[data-counted]")?.textContent;
  speak(held ? `${data.head} kept, ${left} left` : `${data.head} whole again, ${left} left`);
}

function shareAt(svg, data, event) {
  const box = svg.getBoundingClientRect(), view = svg.viewBox.baseVal;
  const y = (event.clientY - box.top) * (view.height / box.height) + view.y;
  return Math.min(Math.max((y - data.top) / (data.foot - data.top), 0), 1);
}
