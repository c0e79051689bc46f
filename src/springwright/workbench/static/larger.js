// A figure as large as the window: closer and farther by presses or keys, moved by scrolling, by arrows, or by being drawn along.

import { standalone } from "./charts.js";

const STEP = 1.5, MOST = 8;

export function larger() {
  document.addEventListener("click", (event) => {
    const button = event.target.closest("[data-larger]");
    if (button) show(button.closest(".fig"));
  });
  addEventListener("beforeprint", () => document.querySelector("dialog.larger")?.close());
}

function show(figure) {
  const dialog = document.createElement("dialog"), bar = document.createElement("div"), field = document.createElement("div"), name = document.createElement("b");
  const picture = document.importNode(new DOMParser().parseFromString(standalone(figure.querySelector("svg:not(.keep svg)")), "image/svg+xml").documentElement, true);
  dialog.className = "larger";
  dialog.setAttribute("aria-label", figure.getAttribute("aria-label") ?? "");
  name.textContent = figure.getAttribute("aria-label") ?? "";
  bar.append(name, press("Farther", () => scale(1 / STEP)), press("Closer", () => scale(STEP)), press("Back to the sheet", () => dialog.close()));
  field.tabIndex = 0;
  field.append(picture);
  dialog.append(bar, field);
  document.body.append(dialog);
  dialog.showModal();
  field.focus();

  const { width, height } = picture.viewBox.baseVal;
  let times = 1;
  function scale(by) {
    const middle = [field.scrollLeft + field.clientWidth / 2, field.scrollTop + field.clientHeight / 2].map((at) => at / times);
    times = Math.min(Math.max(times * by, 1), MOST);
    const whole = Math.min(field.clientWidth / width, field.clientHeight / height);
    picture.style.width = `${width * whole * times}px`;
    picture.style.height = `${height * whole * times}px`;
    field.scrollTo(middle[0] * times - field.clientWidth / 2, middle[1] * times - field.clientHeight / 2);
  }
  scale(1);
  dialog.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const by = { "+": STEP, "=": STEP, "-": 1 / STEP }[event.key];
    if (by) scale(by);
    event.stopPropagation(); // what lies behind it is not moved
  });
  field.addEventListener("pointerdown", (event) => {
    if (event.pointerType !== "mouse" || event.button !== 0) return; // a finger scrolls by itself
    field.setPointerCapture(event.pointerId);
    field.onpointermove = (now) => field.scrollBy(-now.movementX, -now.movementY);
  });
  field.addEventListener("pointerup", () => { field.onpointermove = null; });
  field.addEventListener("pointercancel", () => { field.onpointermove = null; });
  const fit = () => scale(1);
  addEventListener("resize", fit);
  dialog.addEventListener("close", () => {
    removeEventListener("resize", fit);
    dialog.remove();
  });
}

function press(word, does) {
  const button = document.createElement("button");
  button.type = "button";
  button.textContent = word;
  button.addEventListener("click", does);
  return button;
}
