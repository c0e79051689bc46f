// The live line of a sheet: what is done on the page goes to the server, what it changes comes back as parts.

import { morph } from "./morph.js";
import { blanks } from "./blanks.js";
import { slides } from "./slides.js";
import { joints } from "./joints.js";
import { charts } from "./charts.js";
import { larger } from "./larger.js";
import { fronts, refilter } from "./front.js";
import { mountRound } from "./round.js";
import { hang, still, within } from "./hang.js";
import { terms } from "./terms.js";
import { brought } from "./brought.js";
import { tray } from "./tray.js";

const sheet = document.body.dataset.sheet;
let socket = null;
let number = 0;
let asked = []; // what was sent and is not answered yet, in its order
let next = null; // the latest of a gesture that came meanwhile
let unsent = []; // what was done while the line was down, in its order
const marks = (window.springwright = { updates: [], errors: [], owed: false }); // owed: what is out of sight is still to come
const words = new Map();

function connect() {
  const line = new URL(`${sheet}/live?frame=${document.body.dataset.frame}`, location.href);
  line.protocol = "ws:";
  socket = new WebSocket(line);
  socket.addEventListener("message", (event) => take(JSON.parse(event.data)));
  socket.addEventListener("close", () => {
    if (next) asked.push(next);
    unsent.unshift(...asked.filter((one) => one.do === "put")); // nobody knows whether it was heard; to write a value twice does no harm
    asked = [];
    next = null;
    document.body.dataset.line = "down";
    setTimeout(connect, 1000);
  });
  socket.addEventListener("open", () => {
    document.body.dataset.line = "up";
    const late = unsent;
    unsent = [];
    late.forEach(send);
  });
}

// One message at a time: of a drag only the newest position waits its turn.
export function send(message) {
  message.n = ++number;
  message.blank?.setAttribute("data-pending", number);
  message.sent = performance.now();
  if (socket.readyState !== WebSocket.OPEN) {
    if (message.gesture && unsent.at(-1)?.gesture === message.gesture) unsent.pop();
    unsent.push(message);
    if (document.body.dataset.line === "down") speak("The line to the workbench is down. What you do is kept here and sent when the workbench answers.");
    return;
  }
  if (next && next.gesture !== message.gesture) forth(next); // what waited goes before what is done after it
  next = null;
  if (message.gesture && asked.some((one) => one.gesture === message.gesture)) next = message;
  else forth(message);
}

function forth(message) {
  asked.push(message);
  const { sent, blank, ...rest } = message;
  marks.owed = true;
  socket.send(JSON.stringify({ ...rest, within: within(), sight: sight() }));
}

// What is in sight is answered first; the rest of the page follows.
function sight() {
  const near = innerHeight / 4;
  return [...document.querySelectorAll("main > [id]")].filter((one) => {
    const { top, bottom } = one.getBoundingClientRect();
    return bottom > -near && top < innerHeight + near;
  }).map((one) => one.id);
}

function take(message) {
  const begun = performance.now();
  const freed = [...document.querySelectorAll("[data-pending]")].filter((blank) => message.n >= Number(blank.dataset.pending));
  for (const blank of freed) delete blank.dataset.pending;
  if (Object.keys(message.parts).length) {
    still(() => {
      for (const [name, html] of Object.entries(message.parts)) {
        const part = document.getElementById(name);
        if (part) morph(part, html);
      }
      grown();
    });
    hang();
  }
  for (const blank of freed) { // what it holds may have come before the answer
    const told = blank.getAttribute("value");
    if (blank.tagName === "INPUT" && told !== null && !blank.dataset.dirty && !blank.dataset.pending && blank.value !== told) blank.value = told;
  }
  if (!message.n) marks.owed = false;
  const drawn = performance.now();
  const answered = asked.filter((one) => one.n <= message.n); // one answer is for all that was asked before it
  if (answered.length) {
    const entries = answered.map(({ sent }) => ({ sent, server: message.server, arrived: begun, drawn }));
    marks.updates.push(...entries);
    requestAnimationFrame(() => requestAnimationFrame(() => { for (const entry of entries) entry.painted = performance.now(); }));
    asked = asked.filter((one) => one.n > message.n);
    if (next && !asked.some((one) => one.gesture === next.gesture)) {
      forth(next);
      next = null;
    }
  }
  document.body.dataset.version = message.version;
}

// What new elements need, and a word to those who hear the page when a verdict has changed.
function grown() {
  for (const figure of document.querySelectorAll("figure.round:not([data-mounted])")) {
    figure.dataset.mounted = "";
    mountRound(figure);
  }
  scrollers();
  refilter();
  const changed = [];
  for (const link of document.querySelectorAll(".asks li:not(.late) a")) {
    const word = link.querySelector(".v")?.textContent.trim();
    const name = link.querySelector(".q1").textContent;
    if (words.has(name) && words.get(name) !== word) changed.push(`${name} ${word}`);
    words.set(name, word);
  }
  if (changed.length) speak(changed.join(", "));
}

// What scrolls sideways and has nothing in it to move to can be moved to itself, so that arrows scroll it.
function scrollers() {
  for (const one of document.querySelectorAll(".over, .main, .wide, .truck, .bands")) {
    const scrolls = one.scrollWidth > one.clientWidth && !one.querySelector("a, button, input, select, summary, [tabindex]");
    if (scrolls) one.tabIndex = 0; else one.removeAttribute("tabindex");
  }
}
addEventListener("resize", scrollers);
document.addEventListener("toggle", scrollers, true);

export function speak(text) {
  document.getElementById("spoken").textContent = text;
}

document.addEventListener("click", (event) => {
  const pressed = event.target.closest("[data-do]");
  if (pressed && !pressed.disabled) send(JSON.parse(pressed.dataset.do));
  else if (event.target.closest("[data-print]")) window.print();
  else if (event.target.closest("[data-text]")) {
    const text = document.getElementById("file-text");
    delete text.dataset.dirty;
    send({ do: "text", text: text.value });
  }
  const to = event.target.closest("[data-opens]");
  if (to && document.getElementById(to.dataset.opens)?.classList.contains("folded")) send({ do: "unfold", part: to.dataset.opens });
  const ground = event.target.closest("[data-ground]");
  if (ground) {
    const { before, per, unit } = JSON.parse(ground.dataset.ground), box = ground.ownerSVGElement.getBoundingClientRect();
    const place = (event.clientX - box.left) * (ground.ownerSVGElement.viewBox.baseVal.width / box.width) * per - before;
    const step = unit === "mm" ? 10 : 0.5;
    send({ do: "axle", place: `${Math.round(place / step) * step} ${unit}` });
  }
  if (event.target.closest("[data-empty]")) nextEmpty();
  const goes = event.target.closest("[data-goes]");
  if (goes) goTo([...document.querySelectorAll("[data-at]")].find((one) => one.dataset.at === goes.dataset.goes));
  const led = event.target.closest("[data-unfold]");
  if (led) send({ do: "unfold", part: "prove" });
});

document.addEventListener("change", (event) => {
  const { target } = event;
  if (target.dataset.tick) send(JSON.parse(target.dataset.tick));
  else if (target.dataset.pick) {
    const { at, ...rest } = JSON.parse(target.dataset.pick);
    send({ ...rest, at, to: target.value });
  }
  else if (target.dataset.view) {
    delete target.dataset.dirty;
    send({ do: "view", name: target.dataset.view, value: target.value });
  }
});

document.addEventListener("input", (event) => {
  if (event.target.id === "file-text" || (event.target.dataset.view && event.target.tagName === "INPUT")) event.target.dataset.dirty = "1";
});

// The blank that is written in next: the first empty one after the one that was left, or the first of all.
function nextEmpty() {
  const blanks = [...document.querySelectorAll(".q.empty")];
  const last = document.querySelector("[data-last]");
  const after = blanks.find((one) => last && last.compareDocumentPosition(one) & Node.DOCUMENT_POSITION_FOLLOWING);
  goTo(after ?? blanks[0]);
}

// A blank is gone to, whatever it is folded into.
function goTo(blank) {
  for (let fold = blank?.closest("details"); fold; fold = fold.parentElement.closest("details")) fold.open = true;
  blank?.focus();
}
document.addEventListener("focusout", (event) => {
  if (!event.target.matches?.(".q")) return;
  document.querySelector("[data-last]")?.removeAttribute("data-last");
  event.target.setAttribute("data-last", "");
});

document.addEventListener("submit", (event) => {
  const axle = event.target.closest("[data-axle]");
  if (axle) {
    event.preventDefault();
    const typed = axle.elements.place.value.trim();
    send({ do: "axle", place: /^[-\d.]+$/.test(typed) ? `${typed} ${axle.elements.place.placeholder}` : typed });
    axle.elements.place.value = "";
    return;
  }
  const form = event.target.closest("[data-keep-as]");
  if (!form) return;
  event.preventDefault();
  send({ do: "keep", name: form.elements.revision.value });
});

// A mark of a drawing that can be pressed is no button by itself.
document.addEventListener("keydown", (event) => {
  const mark = event.target.closest?.("svg [data-do]");
  if (!mark || (event.key !== "Enter" && event.key !== " ") || event.ctrlKey || event.metaKey || event.altKey) return;
  event.preventDefault();
  if (!event.repeat) send(JSON.parse(mark.dataset.do));
});

document.addEventListener("keydown", (event) => {
  if (!(event.ctrlKey || event.metaKey) || event.altKey) return;
  const key = event.key.toLowerCase();
  const typing = event.target.dataset?.dirty || event.target.tagName === "TEXTAREA";
  const does = key === "s" ? "save" : typing ? null : key === "z" ? (event.shiftKey ? "redo" : "undo") : key === "y" ? "redo" : null;
  if (!does) return;
  event.preventDefault();
  if (does === "save" && event.target.dataset?.dirty) event.target.blur();
  send({ do: does });
});

// The foot of every printed page says what it is of.
const foot = new CSSStyleSheet();
document.adoptedStyleSheets = [foot];
window.addEventListener("beforeprint", () => {
  const chosen = document.querySelector("[data-view=state]")?.value;
  const words = [document.querySelector("h1")?.textContent, document.querySelector("#head nav b")?.textContent, chosen, new Date().toLocaleDateString("en-GB", { day: "numeric", month: "long", year: "numeric" })];
  const said = words.filter(Boolean).join(", ").replace(/[\\"]/g, (c) => `\\${c}`).replace(/[\n\r\f]/g, " ");
  foot.replaceSync(`@page { @bottom-left { content: "${said}"; font-size: 8pt; color: #555; } }`);
});

// The step that is being read is marked on the tape.
function read() {
  let here = "weigh";
  for (const step of document.querySelectorAll(".tape [data-step]")) {
    const section = document.getElementById(step.dataset.step);
    if (section && section.getBoundingClientRect().top < 200) here = step.dataset.step;
  }
  for (const step of document.querySelectorAll(".tape [data-step]")) {
    const is = step.dataset.step === here;
    step.classList.toggle("here", is);
    const link = step.querySelector("a");
    if (is) link.setAttribute("aria-current", "step"); else link.removeAttribute("aria-current");
  }
}
let due = false;
document.addEventListener("scroll", () => {
  if (due) return;
  due = true;
  requestAnimationFrame(() => { due = false; read(); });
}, { passive: true });

blanks(send);
slides(send);
joints(send);
charts(send);
larger();
fronts();
terms();
tray(send);
brought(sheet, speak);
grown();
read();
connect();
document.body.inert = false; // what is pressed or typed before the page listens would be lost
