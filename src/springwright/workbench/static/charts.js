// Charts: a readout on the axis under the pointer, a part of the axis looked at closer, and each figure kept as SVG or PNG.

import { drag } from "./slides.js";

const LEAST = 8; // px of a drag that means a part

export function charts(send) {
  zooms(send);
  document.addEventListener("pointermove", (event) => {
    const svg = event.target.closest?.(".fig svg");
    for (const one of document.querySelectorAll(".fig .read, .fig .cross")) if (!svg || one.parentElement !== svg.parentElement) one.remove();
    if (svg?.querySelector("[data-x]")) read(svg, event);
  });
  document.addEventListener("click", (event) => {
    const button = event.target.closest("[data-save]");
    if (button) save(button.closest(".fig"), button.dataset.save);
  });
}

// A drag along a chart, or + and - on it, looks closer; arrows move what is looked at, 0 or Esc gives all of it back.
function zooms(send) {
  const ask = (figure, part) => send({ do: "zoom", figure: figure.dataset.keep, ...(part ? { part } : {}) });

  drag("[data-zoom] svg", (svg, event) => {
    const figure = svg.parentElement, from = event.clientX, row = svg.querySelector("[data-x]");
    figure.focus({ preventScroll: true });
    if (!row) return () => {};
    const home = figure.getBoundingClientRect(), mark = document.createElement("div");
    mark.className = "zoomed";
    mark.style.top = `${svg.getBoundingClientRect().top - home.top}px`;
    mark.style.height = `${svg.getBoundingClientRect().height}px`;
    figure.append(mark);
    let to = from;
    const move = (now) => {
      to = now.clientX;
      mark.style.left = `${Math.min(from, to) - home.left + figure.scrollLeft}px`;
      mark.style.width = `${Math.abs(to - from)}px`;
    };
    move.ends = (let_go) => {
      mark.remove();
      if (let_go && Math.abs(to - from) >= LEAST) ask(figure, [from, to].map((x) => valueAt(svg, row, x)).sort((a, b) => a - b));
    };
    return move;
  });

  document.addEventListener("keydown", (event) => {
    const figure = event.target;
    if (!figure.matches?.("[data-zoom]") || event.ctrlKey || event.metaKey || event.altKey) return;
    const row = figure.querySelector("[data-x]");
    if (!row) return;
    if (event.key === "0" || event.key === "Escape") return ask(figure, null);
    const { low, high, log } = JSON.parse(row.dataset.x), wide = high - low;
    const ends = { "+": [low + wide / 4, high - wide / 4], "=": [low + wide / 4, high - wide / 4], "-": [low - wide / 2, high + wide / 2], ArrowRight: [low + wide / 4, high + wide / 4], ArrowLeft: [low - wide / 4, high - wide / 4] }[event.key];
    if (!ends) return;
    event.preventDefault();
    ask(figure, ends.map((one) => (log ? 10 ** one : one)));
  });
}

// What a place on the screen stands for on a row's axis.
function valueAt(svg, row, clientX) {
  const box = svg.getBoundingClientRect(), [left, , right] = JSON.parse(row.dataset.box), { low, high, log } = JSON.parse(row.dataset.x);
  const x = (clientX - box.left) * (svg.viewBox.baseVal.width / box.width);
  const at = low + Math.min(Math.max((x - left) / (right - left), 0), 1) * (high - low);
  return log ? 10 ** at : at;
}

// Each row of a chart says what its edges stand for; the nearest point of each of its lines is told.
function read(svg, event) {
  const figure = svg.parentElement, box = svg.getBoundingClientRect(), view = svg.viewBox.baseVal, home = figure.getBoundingClientRect();
  const x = (event.clientX - box.left) * (view.width / box.width), y = (event.clientY - box.top) * (view.height / box.height) + view.y;
  const row = [...svg.querySelectorAll("[data-x]")].find((one) => { const [, top, , foot] = JSON.parse(one.dataset.box); return y >= top - 12 && y <= foot + 12; });
  const old = [...figure.querySelectorAll(".read, .cross")];
  old.forEach((one) => one.remove());
  if (!row) return;
  const [left, top, right, foot] = JSON.parse(row.dataset.box), axis = JSON.parse(row.dataset.x), up = JSON.parse(row.dataset.y);
  if (x < left || x > right) return;
  const share = (x - left) / (right - left);
  const at = axis.log ? 10 ** (axis.low + share * (axis.high - axis.low)) : axis.low + share * (axis.high - axis.low);
  const told = [];
  for (const line of row.querySelectorAll("path[data-line]")) {
    const points = line.getAttribute("d").slice(1).split("L").map((pair) => pair.split(" ").map(Number));
    if (!points.length || points[0][0] > x + 6 || points.at(-1)[0] < x - 6) continue;
    const near = points.reduce((best, point) => (Math.abs(point[0] - x) < Math.abs(best[0] - x) ? point : best));
    told.push(`${line.dataset.line} ${figure4(up.low + (1 - (near[1] - top) / (foot - top)) * (up.high - up.low))}`.trim());
  }
  const mark = document.createElement("div"), words = document.createElement("div"), scale = box.width / view.width;
  mark.className = "cross";
  words.className = "read";
  words.textContent = `${figure4(at)} ${axis.unit}: ${told.join(", ")}`;
  mark.style.left = `${box.left - home.left + x * scale}px`;
  mark.style.top = `${box.top - home.top + (top - view.y) * scale}px`;
  mark.style.height = `${(foot - top) * scale}px`;
  words.style.left = `${Math.min(box.left - home.left + x * scale + 6, home.width - 160)}px`;
  words.style.top = `${box.top - home.top + (top - view.y) * scale}px`;
  figure.append(mark, words);
}

function figure4(value) {
  return Number(value.toPrecision(4)).toString().replace("-", "\u2212");
}

// The drawing with the page's own ink written into it, so that it stands alone.
export function standalone(svg) {
  const copy = svg.cloneNode(true), from = [svg, ...svg.querySelectorAll("*")], to = [copy, ...copy.querySelectorAll("*")];
  const wanted = ["fill", "stroke", "stroke-width", "stroke-dasharray", "stroke-linecap", "stroke-linejoin", "paint-order", "font-family", "font-size", "font-weight", "text-anchor"];
  from.forEach((one, i) => {
    const look = getComputedStyle(one);
    for (const name of wanted) to[i].setAttribute(name, look.getPropertyValue(name));
    for (const name of ["class", "tabindex", "data-slide", "id"]) to[i].removeAttribute(name);
  });
  copy.setAttribute("xmlns", "http://www.w3.org/2000/svg");
  return new XMLSerializer().serializeToString(copy);
}

async function save(figure, form) {
  const svg = figure.querySelector("svg:not(.keep svg)"), text = standalone(svg), name = `${figure.dataset.keep}.${form}`;
  const url = URL.createObjectURL(new Blob([text], { type: "image/svg+xml" }));
  if (form === "svg") return give(url, name);
  const image = new Image(), view = svg.viewBox.baseVal;
  image.src = url;
  await image.decode();
  const canvas = document.createElement("canvas");
  canvas.width = 2 * view.width;
  canvas.height = 2 * view.height;
  const pen = canvas.getContext("2d");
  pen.fillStyle = getComputedStyle(document.body).backgroundColor;
  pen.fillRect(0, 0, canvas.width, canvas.height);
  pen.drawImage(image, 0, 0, canvas.width, canvas.height);
  canvas.toBlob((blob) => give(URL.createObjectURL(blob), name), "image/png");
}

function give(url, name) {
  const link = document.createElement("a");
  link.href = url;
  link.download = name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(url), 10000);
}
