/* The view in the round: a vehicle drawn frame by frame in ink, from numbers the server has worked out (drawing/round.py).

   <figure class="round" data-scene="URL">
     <canvas></canvas>
     <div class="round-controls">
       <button type="button" data-play disabled>Play</button>
       <label><span>Time</span> <input type="range" disabled></label>
       <button type="button" data-turn="left">Turn left</button> <button type="button" data-turn="right">Turn right</button>
     </div>
     <output></output>
   </figure>

   Only the placing of nodes and their projection are worked out here. data-still keeps a figure from playing by itself;
   a change of data-scene fetches the new scene and keeps the place and the view. */

const TENTH = 1e-4, ANGLE = 1e-5;              // m and rad of the scene's whole numbers
const HAIR = 0.8, LINE = 1.25, BOLD = 2;       // px
const VEIL = 0.7, TURNS = 5;                  // how much a face of the body hides; turns of a spring as it is drawn
const OFF = { closed: true, dash: [6, 4] };    // the edge of a wheel off the ground
const STEP = Math.PI / 24;                     // of one press of a turning button
const LOW = 0.06, HIGH = 1.2;                  // rad the eye may stand over the ground
const ROUND = 40, RUNG = 0.5, TRACE = 44;      // points of a tyre, m between rungs of the ground, px of the line of shaking
const COLOURS = { paper: "#f4f2ea", ink: "#1f262b", soft: "#59625f", rule: "#cfcbbd", shut: "#e7e4d8", front: "#0072b2", rear: "#d55e00" };

export function mountRound(figure) {
  if (figure.round) return figure.round;
  const part = (what) => figure.querySelector(what);
  const canvas = part("canvas"), play = part("[data-play]"), scrub = part("input[type=range]"), output = part("output");
  const calm = matchMedia("(prefers-reduced-motion: reduce)"), dark = matchMedia("(prefers-color-scheme: dark)");
  const eye = { yaw: 0.6, up: 0.33 };
  const pen = makePen(canvas.getContext("2d"));
  let scene = null, frame = 0, playing = false, began = NaN, waiting = 0, ticking = 0, drawn = {};

  const rate = () => scene.rate;
  const last = () => scene.frames - 1;

  function paint() {
    waiting = 0;
    if (!scene) return;
    const start = performance.now();
    pen.sheet(canvas, eye, scene);
    drawn = draw(pen, scene, eye, frame, !playing);
    drawn.ms = performance.now() - start;
    tell();
  }
  const soon = () => { waiting ||= requestAnimationFrame(paint); };

  function tell() {
    const said = scene.words.says.findLast(([from]) => from <= frame)[1];
    const text = `${scene.words.clock[frame]}: ${said}`;
    if (output.textContent !== text) output.textContent = text;
    scrub.value = frame;
    if (!playing) scrub.setAttribute("aria-valuetext", text);
  }

  function turnOver(on) {
    playing = on && last() > 0;
    play.textContent = playing ? "Pause" : "Play";
    output.setAttribute("aria-live", playing ? "off" : "polite");
    if (playing) {
      if (frame >= last()) frame = 0;
      began = NaN;
      cancelAnimationFrame(ticking);
      ticking = requestAnimationFrame(run);
    }
    soon();
  }
  function run() {
    if (!playing || !figure.isConnected) return;
    const now = performance.now();
    if (Number.isNaN(began)) began = now - 1e3 * frame / rate();  // on a turn of the screen, so that frames fall on its turns
    const at = Math.min(Math.max(Math.round((now - began) / 1e3 * rate()), 0), last());
    if (at !== frame) { frame = at; paint(); }
    if (at < last()) ticking = requestAnimationFrame(run); else turnOver(false);
  }
  function go(to) {
    frame = Math.min(Math.max(Math.round(to), 0), last());
    began = NaN;
    soon();
  }
  const turn = (by, lift = 0) => { eye.yaw += by; eye.up = Math.min(Math.max(eye.up + lift, LOW), HIGH); soon(); };

  async function load() {
    const wanted = figure.dataset.scene;
    try {
      const answer = await fetch(wanted);
      if (!answer.ok) throw new Error(answer.statusText || answer.status);
      const found = await answer.json();
      if (wanted !== figure.dataset.scene) return;
      const first = !scene;
      scene = unpacked(found);
      frame = Math.min(frame, last());
      canvas.setAttribute("role", "img");
      canvas.setAttribute("aria-label", scene.label);
      Object.assign(scrub, { min: 0, max: last(), step: 1 });
      scrub.value = frame;
      const word = scrub.closest("label")?.querySelector("span");
      if (word) word.textContent = scene.words.scrub;
      play.disabled = scrub.disabled = play.hidden = (scrub.closest("label") ?? scrub).hidden = last() === 0;
      turnOver(first ? !calm.matches && !("still" in figure.dataset) : playing);
    } catch (error) {
      output.textContent = `The picture could not be fetched: ${error.message}`;
    }
  }

  play.addEventListener("click", () => scene && turnOver(!playing));
  scrub.addEventListener("input", () => { if (scene) { turnOver(false); go(+scrub.value); } });
  for (const button of figure.querySelectorAll("[data-turn]"))
    button.addEventListener("click", () => turn(button.dataset.turn === "left" ? STEP : -STEP));
  figure.tabIndex = 0;
  figure.addEventListener("keydown", (event) => {
    if (!scene || event.target.matches("button") || event.ctrlKey || event.altKey || event.metaKey) return;
    const step = { ArrowLeft: -1, ArrowRight: 1 }[event.key];
    if (event.key === " ") turnOver(!playing);
    else if (step && event.target !== scrub) { turnOver(false); go(frame + step); }
    else return;
    event.preventDefault();
  });
  canvas.addEventListener("pointerdown", (event) => { if (event.button === 0) canvas.setPointerCapture(event.pointerId); });
  canvas.addEventListener("pointermove", (event) => {
    if (canvas.hasPointerCapture(event.pointerId)) turn(event.movementX / 160, event.movementY / 240);
  });
  const recolour = () => { pen.colours(figure); soon(); };
  dark.addEventListener("change", recolour);
  new ResizeObserver(soon).observe(canvas);
  new MutationObserver(load).observe(figure, { attributeFilter: ["data-scene"] });
  recolour();
  load();

  figure.round = {
    seek(time) { if (scene) { turnOver(false); frame = Math.min(Math.max(Math.round(time * rate()), 0), last()); paint(); } },
    play() { if (scene) turnOver(true); },
    pause() { if (scene) turnOver(false); },
    redraw: recolour,
    state() { return { ready: Boolean(scene), playing, frame, time: scene ? frame / rate() : 0, yaw: eye.yaw, ...drawn }; },
  };
  return figure.round;
}

/* The scene with its whole numbers turned into metres and radians where they are used over and over. */
function unpacked(scene) {
  const metres = (list) => list.map((one) => (Array.isArray(one) ? metres(one) : one * TENTH));
  for (const node of scene.nodes) node.at = metres(node.at);
  for (const wheel of scene.wheels) {
    wheel.radius *= TENTH; wheel.width *= TENTH; wheel.bar *= TENTH; wheel.reach = metres(wheel.reach);
  }
  scene.pivot = metres(scene.pivot);
  scene.box = metres(scene.box);
  scene.ground.edges = metres(scene.ground.edges);
  return scene;
}

/* Where the body's points go in a frame: small angles about its pivot, as the model has them. */
function poseOf(scene, k) {
  const [xc, yc, roll, pitch, front, rear] = scene.pivot;
  const rise = scene.rise[k] * TENTH, nod = scene.pitch[k] * ANGLE, lean = scene.roll[k] * ANGLE, twist = scene.twist[k] * ANGLE;
  const middle = (front + rear) / 2, long = front > rear ? front - rear : Infinity;
  return ([x, y, z]) => {
    const turned = lean + twist * (x - middle) / long;
    return [(z - pitch) * nod, -(z - roll) * turned, rise - (x - xc) * nod + (y - yc) * turned];
  };
}

/* Every node in a frame, its height counted from what the eye follows. */
function placed(scene, k) {
  const moved = poseOf(scene, k), count = scene.wheels.length, down = scene.datum[k] * TENTH;
  return scene.nodes.map((node) => {
    let at = node.at, share = node.body ?? 0;
    if (node.wheel !== undefined) {
      const t = scene.travels[k * count + node.wheel] * TENTH, [a, b] = scene.wheels[node.wheel].reach;
      const low = t * (t - b) / (a * (a - b)), still = (t - a) * (t - b) / (a * b), high = t * (t - a) / (b * (b - a));
      at = [0, 1, 2].map((i) => low * node.at[0][i] + still * node.at[1][i] + high * node.at[2][i]);
      share = 1;
    }
    const by = share ? moved(at) : [0, 0, 0];
    let z = at[2] + share * by[2] - down;
    for (const [wheel, part] of node.of ?? []) z += part * scene.heights[k * count + wheel] * TENTH;
    return [at[0] + share * by[0], at[1] + share * by[1], z];
  });
}

/* One frame: ground, then all that stands on it from the far side to the near, then loads and words. */
function draw(pen, scene, eye, k, still) {
  pen.clear();
  const nodes = placed(scene, k), count = scene.wheels.length, down = scene.datum[k] * TENTH;
  const load = (i) => scene.loads[k * count + i], under = (i) => scene.under[k * count + i] * TENTH - down;
  ground(pen, scene, k, down);
  const things = [], solids = new Map(), through = [], at = (ids) => ids.map((id) => nodes[id]);
  const depth = (ids) => ids.reduce((sum, id) => sum + pen.depth(nodes[id]), 0) / ids.length;
  const part = (solid) => solids.get(solid) ?? solids.set(solid, { faces: [], lines: [] }).get(solid);
  for (const one of scene.panels) part(one.solid).faces.push(one);
  for (const line of scene.lines) {
    const hidden = line.faces?.every((face) => pen.depth(face) <= 0);
    if (hidden) pen.path(at(line.nodes), "soft", HAIR, { dash: [2, 3] });
    else if (line.solid !== undefined) part(line.solid).lines.push(line);
    else if (line.end !== undefined) through.push(() => pen.line(at(line.nodes), line));
    else things.push([depth(line.nodes), () => pen.line(at(line.nodes), line)]);
  }
  scene.wheels.forEach((one, i) => things.push([depth([one.centre]), () => {
    const off = load(i) <= 0, edge = wheel(pen, nodes[one.centre], nodes[one.inner], one, under(i), off);
    if (off) through.push(() => pen.shape(edge, "", "ink", BOLD, OFF));
  }]));
  for (const [, go] of things.sort((a, b) => a[0] - b[0])) go();
  const far = ({ faces }) => depth(faces.flatMap((one) => one.nodes));
  for (const { faces, lines } of [...solids.values()].sort((a, b) => far(a) - far(b))) {
    for (const one of faces) if (pen.depth(one.face) > 0) pen.veil(at(one.nodes));
    for (const line of lines) pen.line(at(line.nodes), line);
  }
  for (const one of scene.springs) through.push(() => spring(pen, nodes[one.foot], nodes[one.top], one));
  for (const go of through) go();  // shown through what is before them
  scene.wheels.forEach((one, i) => bar(pen, scene, nodes[one.centre], one, under(i), load(i), still ? scene.words.loads[k * count + i] : ""));
  if (scene.seat) trace(pen, scene, k);
  return {
    loads: Object.fromEntries(scene.wheels.map((one, i) => [one.name, load(i)])),
    off: scene.wheels.filter((_, i) => load(i) <= 0).map((one) => one.name),
    strokes: pen.strokes,
  };
}

/* Two strips with rungs that stay where they are on the ground, so that they run back under the vehicle. */
function ground(pen, scene, k, down) {
  const { from, step, left, right, edges, scale } = scene.ground;
  const gone = scene.gone[k] * TENTH, grown = scale.length ? scale[k] / 1e3 : 1, dx = step * TENTH;
  const start = from * TENTH - gone, size = left.length;
  const first = Math.max(Math.floor((scene.box[0] - start) / dx), 0), end = Math.min(Math.ceil((scene.box[1] - start) / dx), size - 1);
  const point = (i, y, track) => [start + i * dx, y, track[i] * TENTH * grown - down];
  const tracks = [[1, left], [-1, right]].sort((a, b) => pen.depth([0, a[0], 0]) - pen.depth([0, b[0], 0]));
  const every = RUNG / dx, begin = Math.ceil((first * dx) / RUNG - 1e-9);
  const at = (s) => Math.min(Math.round(s * every), size - 1);
  tracks.forEach(([side, track], near) => {
    for (const y of edges) {
      const line = [];
      for (let i = first; i <= end; i++) line.push(point(i, side * y, track));
      pen.path(line, y === edges[1] && near ? "ink" : "soft", y === edges[1] && near ? LINE : HAIR);
    }
    pen.many(() => {
      for (let s = begin; s * every <= end; s++) pen.trail([point(at(s), side * edges[0], track), point(at(s), side * edges[1], track)]);
    }, "soft", HAIR);
  });
  pen.many(() => {
    for (let s = begin; s * every <= end; s++) pen.trail([point(at(s), edges[0], left), point(at(s), -edges[0], right)]);
  }, "rule", HAIR);
}

/* A wheel as a short drum, flat where the ground is; dashed and bold when it is off the ground. Gives its edge on the sheet. */
function wheel(pen, centre, inner, one, under, off) {
  const axis = unit(minus(centre, inner)), up = unit([-axis[2] * axis[0], -axis[2] * axis[1], 1 - axis[2] * axis[2]]), ahead = cross(up, axis);
  const ring = (radius, out) => Array.from({ length: ROUND }, (_, i) => {
    const a = 2 * Math.PI * i / ROUND, c = radius * Math.cos(a), s = radius * Math.sin(a);
    const at = [0, 1, 2].map((j) => centre[j] + out * axis[j] + c * ahead[j] + s * up[j]);
    if (!off) at[2] = Math.max(at[2], under);
    return at;
  });
  const face = pen.depth(axis) > 0 ? 1 : -1, half = one.width / 2;
  const edge = outline([...ring(one.radius, half), ...ring(one.radius, -half)].map(pen.at));
  pen.shape(edge, "shut", "ink", off ? BOLD : LINE, off ? OFF : { closed: true });
  pen.path(ring(one.radius * 0.97, face * half), "soft", HAIR, { closed: true });
  pen.path(ring(one.radius * 0.56, face * half), "ink", HAIR, { closed: true, fill: "paper" });
  pen.path(ring(one.radius * 0.15, face * half), "ink", HAIR, { closed: true });
  return edge;
}

/* A spring between its foot and its top: a coil's zigzag, or the lobes of a bellows. */
function spring(pen, foot, top, one) {
  const [a, b] = [pen.at(foot), pen.at(top)], long = Math.hypot(b[0] - a[0], b[1] - a[1]) || 1;
  const along = [(b[0] - a[0]) / long, (b[1] - a[1]) / long], wide = one.radius * TENTH * pen.scale;
  const place = (t, s) => [a[0] + along[0] * t * long - along[1] * s * wide, a[1] + along[1] * t * long + along[0] * s * wide];
  const soft = one.kind === "soft", turns = soft ? 3 : TURNS, line = [place(0, -1), place(0, 1)];
  for (let i = 0; i < 2 * turns; i++) line.push(place((i + 0.5) / (2 * turns), soft ? (i % 2 ? 0.7 : 1) : (i % 2 ? 1 : -1)));
  line.push(place(1, 1), place(1, -1));
  if (soft) for (let i = 2 * turns - 1; i >= 0; i--) line.push(place((i + 0.5) / (2 * turns), i % 2 ? -0.7 : -1));
  pen.shape(line, soft ? "paper" : "", one.end ? "rear" : "front", soft ? LINE : 1.6, { closed: soft });
}

/* A wheel's load as a bar that stands on the ground beside it, with a mark at the load it carries at rest. */
function bar(pen, scene, centre, one, under, load, text) {
  const foot = [centre[0] + one.bar, centre[1], under], high = (newtons) => pen.at([foot[0], foot[1], foot[2] + newtons * scene.bar * TENTH]);
  const [x, y] = pen.at(foot), [, mark] = high(one.static), [, top] = high(load);
  pen.flat([[x, y], [x, Math.min(mark, top)]], "soft", HAIR);
  pen.flat([[x - 6, mark], [x + 6, mark]], "ink", LINE);
  if (load > 0) pen.flat([[x, y], [x, top]], "ink", 5);
  if (load <= 0) pen.word(x + 9, (y + mark) / 2 + 4, scene.words.off, "ink", true);
  else if (text) pen.word(x + 9, top + 4, `${text} ${scene.words.unit}`, "ink");
}

/* How the seat is shaken, over the whole time, and where we are in it. */
function trace(pen, scene, k) {
  const { line, name, most } = scene.seat, left = 12, right = pen.width - 12, middle = pen.height - TRACE / 2, high = TRACE / 2 - 6;
  const x = (i) => left + (right - left) * i / Math.max(line.length - 1, 1);
  pen.flat([[left, middle], [right, middle]], "rule", HAIR);
  pen.flat(line.map((value, i) => [x(i), middle - value / 100 * high]), "soft", HAIR);
  pen.flat([[x(k), middle - high - 4], [x(k), middle + high + 4]], "ink", LINE);
  pen.word(left, middle - high - 8, `${name}, ${most}`, "soft");
}

/* The pen: a projection and a small vocabulary of marks, every stroke counted. */
function makePen(ctx) {
  let ink = {}, right = [], upward = [], view = [], offset = [0, 0], key = "";
  const pen = { scale: 1, width: 0, height: 0, strokes: 0 };
  const dot = (a, b) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];

  pen.colours = (figure) => {
    const style = getComputedStyle(figure);
    ink = Object.fromEntries(Object.entries(COLOURS).map(([name, plain]) => [name, style.getPropertyValue(`--${name}`).trim() || plain]));
    ink.font = `12px ${style.fontFamily}`;
  };
  pen.sheet = (canvas, eye, scene) => {
    const wide = canvas.clientWidth, high = canvas.clientHeight, fine = devicePixelRatio || 1;
    const now = [wide, high, fine, eye.yaw, eye.up, ...scene.box].join();
    if (now === key) return;
    key = now;
    if (canvas.width !== Math.round(wide * fine) || canvas.height !== Math.round(high * fine)) {
      canvas.width = Math.round(wide * fine);
      canvas.height = Math.round(high * fine);
    }
    ctx.setTransform(fine, 0, 0, fine, 0, 0);
    const [s, c, e, f] = [Math.sin(eye.yaw), Math.cos(eye.yaw), Math.sin(eye.up), Math.cos(eye.up)];
    right = [-c, s, 0]; upward = [-e * s, -e * c, f]; view = [f * s, f * c, e];
    const seen = inSight(scene), xs = seen.map((p) => dot(p, right)), ys = seen.map((p) => dot(p, upward));
    const [a, b, d, g] = [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)], room = high - (scene.seat ? TRACE + 18 : 0);
    pen.scale = Math.min((wide - 24) / (b - a), (room - 16) / (g - d));
    offset = [wide / 2 - pen.scale * (a + b) / 2, room / 2 + pen.scale * (d + g) / 2];
    Object.assign(pen, { width: wide, height: high });
  };
  pen.at = (p) => [offset[0] + pen.scale * dot(p, right), offset[1] - pen.scale * dot(p, upward)];
  pen.depth = (p) => dot(p, view);
  pen.clear = () => {
    pen.strokes = 0;
    ctx.fillStyle = ink.paper;
    ctx.fillRect(0, 0, pen.width, pen.height);
    Object.assign(ctx, { lineJoin: "round", lineCap: "butt", font: ink.font });
  };
  const trail = (points, closed) => {
    points.forEach(([x, y], i) => (i ? ctx.lineTo(x, y) : ctx.moveTo(x, y)));
    if (closed) ctx.closePath();
  };
  const stroke = (colour, width) => {
    ctx.strokeStyle = ink[colour];
    ctx.lineWidth = width;
    ctx.stroke();
    pen.strokes += 1;
  };
  pen.trail = (points) => trail(points.map(pen.at));
  pen.many = (trails, colour, width) => { ctx.beginPath(); trails(); stroke(colour, width); };
  pen.flat = (points, colour, width) => { ctx.beginPath(); trail(points); stroke(colour, width); };
  pen.shape = (points, fill, colour, width, { closed = false, dash = null } = {}) => {
    ctx.beginPath();
    trail(points, closed);
    if (fill) { ctx.fillStyle = ink[fill]; ctx.fill(); }
    if (dash) ctx.setLineDash(dash);
    stroke(colour, width);
    ctx.setLineDash([]);
  };
  pen.path = (points, colour, width, { fill = "", ...how } = {}) => pen.shape(points.map(pen.at), fill, colour, width, how);
  pen.line = (points, { ink: kind, wide = 0, end }) => {
    const colour = end === undefined ? (kind === "hair" || kind === "dash" ? "soft" : "ink") : end ? "rear" : "front";
    const width = { hair: HAIR, bold: BOLD, dash: HAIR }[kind] ?? LINE;
    ctx.beginPath();
    trail(points.map(pen.at));
    if (kind === "dash") ctx.setLineDash([5, 4]);
    ctx.lineCap = wide ? "square" : "round";
    if (wide) {
      const across = wide * TENTH * pen.scale;
      stroke(colour, across + width);
      stroke("paper", Math.max(across - width, 0.5));
    } else stroke(colour, width);
    ctx.lineCap = "butt";
    ctx.setLineDash([]);
  };
  pen.veil = (points) => {  // a face of the body: what is behind it shows faintly
    ctx.globalAlpha = VEIL;
    ctx.fillStyle = ink.paper;
    ctx.beginPath();
    trail(points.map(pen.at), true);
    ctx.fill();
    ctx.globalAlpha = 1;
  };
  pen.word = (x, y, text, colour, strong = false) => {
    ctx.font = strong ? `bold ${ink.font}` : ink.font;
    ctx.strokeStyle = ink.paper;
    ctx.lineWidth = 4;
    ctx.strokeText(text, x, y);
    ctx.fillStyle = ink[colour];
    ctx.fillText(text, x, y);
  };
  return pen;
}

/* Points that the sheet has to hold: the ground's corners, and the vehicle as high as it comes. */
function inSight({ box: [x0, x1, low, lift], ground: { edges }, nodes }) {
  const still = nodes.map((node) => (node.wheel === undefined ? node.at : node.at[1])).map(([x, y, z]) => [x, y, z + lift]);
  for (const x of [x0, x1]) for (const y of [edges[1], -edges[1]]) still.push([x, y, low]);
  return still;
}

/* The convex outline round points of the sheet (Andrew's monotone chain). */
function outline(points) {
  const sorted = [...points].sort((a, b) => a[0] - b[0] || a[1] - b[1]);
  const half = (list) => {
    const hull = [];
    for (const p of list) {
      while (hull.length > 1 && turned(hull.at(-2), hull.at(-1), p) <= 0) hull.pop();
      hull.push(p);
    }
    return hull.slice(0, -1);
  };
  return [...half(sorted), ...half(sorted.reverse())];
}
const turned = (o, a, b) => (a[0] - o[0]) * (b[1] - o[1]) - (a[1] - o[1]) * (b[0] - o[0]);
const minus = (a, b) => [a[0] - b[0], a[1] - b[1], a[2] - b[2]];
const cross = (a, b) => [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
function unit(a) {
  const long = Math.hypot(...a) || 1;
  return [a[0] / long, a[1] / long, a[2] / long];
}
