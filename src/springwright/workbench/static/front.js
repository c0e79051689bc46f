// The front: ranges kept on its scales, which designs outside them step back from everywhere, and a walk along its beads.

const kept = new Map(); // by the head of a scale: least and greatest share of its length from the top
const SVG = "http://www.w3.org/2000/svg";

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
      if (Math.abs(far - begun) > 0.02) keep(data.head, begun, far);
    };
    const up = () => {
      document.removeEventListener("pointermove", move);
      document.removeEventListener("pointerup", up);
      if (Math.abs(far - begun) <= 0.02) kept.delete(data.head);
      refilter();
    };
    document.addEventListener("pointermove", move);
    document.addEventListener("pointerup", up);
  });
  document.addEventListener("keydown", (event) => {
    const scale = event.target.closest?.("[data-scale]"), bead = event.target.closest?.("g.bead[data-design]");
    if (scale) step(scale, event);
    else if (bead) walk(bead, event);
  });
}

// Arrows move the near end, the upper; with Shift the far end.
function step(scale, event) {
  const { head } = JSON.parse(scale.dataset.scale), way = { ArrowUp: -0.02, ArrowDown: 0.02 }[event.key];
  if (event.key === "Escape") kept.delete(head);
  else if (!way) return;
  else {
    const [low, high] = kept.get(head) ?? [0, 1];
    if (event.shiftKey) keep(head, low, Math.max(high + way, low + 0.02));
    else keep(head, Math.min(low + way, high - 0.02), high);
  }
  event.preventDefault();
  refilter();
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

function keep(head, one, other) {
  kept.set(head, [Math.max(Math.min(one, other), 0), Math.min(Math.max(one, other), 1)]);
  refilter();
}

// What is outside a range that is kept steps back, on the scales and on the front alike.
export function refilter() {
  const scales = [...document.querySelectorAll("[data-scale]")].map((one) => ({ one, data: JSON.parse(one.dataset.scale) }));
  for (const { one, data } of scales) {
    one.querySelector(".kept")?.remove();
    const range = kept.get(data.head);
    if (!range) continue;
    const mark = document.createElementNS(SVG, "rect"), tall = data.foot - data.top;
    mark.setAttribute("class", "kept");
    for (const [name, value] of Object.entries({ x: data.x - 5, width: 10, y: data.top + range[0] * tall, height: (range[1] - range[0]) * tall })) mark.setAttribute(name, value);
    one.append(mark);
  }
  const out = new Set();
  let found = 0;
  for (const line of document.querySelectorAll("g.design[data-design]")) {
    if (line.dataset.design === "0") continue;
    found += 1;
    const points = line.querySelector("path").getAttribute("d").slice(1).split("L").map((pair) => Number(pair.split(" ")[1]));
    const inside = scales.every(({ data }) => {
      const range = kept.get(data.head), share = (points[data.number] - data.top) / (data.foot - data.top);
      return !range || (share >= range[0] - 1e-6 && share <= range[1] + 1e-6);
    });
    if (!inside) out.add(line.dataset.design);
  }
  for (const one of document.querySelectorAll("g.design[data-design], g.bead[data-design]")) one.classList.toggle("out", out.has(one.dataset.design));
  const told = document.querySelector("[data-counted]");
  if (told) told.textContent = `${found - out.size} of the ${told.dataset.counted}`;
}

function shareAt(svg, data, event) {
  const box = svg.getBoundingClientRect(), view = svg.viewBox.baseVal;
  const y = (event.clientY - box.top) * (view.height / box.height) + view.y;
  return Math.min(Math.max((y - data.top) / (data.foot - data.top), 0), 1);
}
