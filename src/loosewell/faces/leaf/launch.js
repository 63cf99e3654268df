// The moving launch: arrows side by side, driven by one array of frames.
// A frame is [ms, nock ahead of the plate in in, then the axis left of the string plane
// at each station in in]. Up is forward, left is the archer's left.

const SVG = "http://www.w3.org/2000/svg";
const SLOWNESS = [200, 500, 1000, 2000, 4000];
const WIDE = 150;
const ALONG = 7;
// Sideways at most so many times as wide as along: beyond that an arrow looks like a bag.
const FACTORS = [3, 2.5, 2, 1.5, 1];

const make = (name, attributes, into) => {
  const node = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) node.setAttribute(key, value);
  into.append(node);
  return node;
};

const path = (points) => "M" + points.map(([x, y]) => `${x.toFixed(2)} ${y.toFixed(2)}`).join("L");

const COLOURS = { "too weak": "weak", "too stiff": "stiff", "this shaft": "ink" };
const DASHES = { "too weak": "7 4", "too stiff": "2 3.5", "this shaft": "12 3 2 3" };

function limits(arrows) {
  let left = 0, right = 0, front = 0, rear = 0;
  for (const a of arrows) {
    const across = a.handle_in.map(([, y]) => y);
    left = Math.max(left, a.plate_offset_in, ...across);
    right = Math.min(right, a.plate_offset_in, ...across);
    const r = a.diameter_in / 2;
    for (const [ms, nock, ...axis] of a.frames) {
      if (ms > a.nock_past_plate_ms + 0.3) break;
      axis.forEach((y, i) => {
        const s = a.station_in[i];
        const tail = s >= a.fletching_rear_in && s <= a.fletching_front_in;
        const tall = tail ? a.fletching_height_in : 0;
        left = Math.max(left, y + r + tall * a.fletching_left);
        right = Math.min(right, y - r - tall * a.fletching_right);
      });
      front = Math.max(front, nock + a.length_in + a.point_length_in);
      rear = Math.min(rear, nock);
    }
  }
  return { left: left + 0.08, right: right - 0.08, front: front + 0.8, rear: rear - 1 };
}

class Lane {
  constructor(arrow, view, stage) {
    this.arrow = arrow;
    this.view = view;
    const colour = `var(--lw-${COLOURS[arrow.label] ?? "fit"})`;
    this.colour = colour;
    const box = document.createElement("div");
    const title = document.createElement("h3");
    title.textContent = arrow.title;
    this.state = document.createElement("p");
    const tall = (view.front - view.rear) * ALONG;
    const svg = make("svg", { viewBox: `0 0 ${WIDE} ${tall}`, "aria-hidden": "true" }, box);
    box.prepend(title, this.state);
    make("rect", { width: WIDE, height: tall, fill: "var(--lw-paper)" }, svg);
    const zero = this.spot(0, 0)[0];
    make("path", { d: `M${zero} 0V${tall}`, stroke: "var(--lw-soft-ink)", "stroke-width": 0.7, "stroke-dasharray": "1 4" }, svg);
    make("path", { d: `M0 1.2H${WIDE}`, stroke: colour, "stroke-width": 2.4, "stroke-dasharray": DASHES[arrow.label] ?? "none" }, svg);
    const feather = { fill: "var(--lw-feather)", stroke: colour, "stroke-width": 1.1, "stroke-linejoin": "round" };
    this.leftFeather = make("path", feather, svg);
    this.rightFeather = make("path", feather, svg);
    this.drawBow(svg);
    this.shaft = make("path", { fill: "var(--lw-shaft)", stroke: colour, "stroke-width": 1.3, "stroke-linejoin": "round" }, svg);
    this.point = make("path", { fill: "var(--lw-iron)" }, svg);
    this.string = make("path", { stroke: "var(--lw-ink)", "stroke-width": 1.6, fill: "none" }, svg);
    this.knot = make("circle", { r: 2.8, fill: "var(--lw-ink)" }, svg);
    this.star = make("path", { fill: "var(--lw-paper)", stroke: "var(--lw-knock)", "stroke-width": 2, "stroke-linejoin": "round", visibility: "hidden" }, svg);
    stage.append(box);
  }

  spot(x, y) {
    return [(this.view.left - y) * this.view.across + this.view.slack, (this.view.front - x) * ALONG];
  }

  drawBow(svg) {
    const outline = (spots) => path(spots.map(([x, y]) => this.spot(x, y))) + "Z";
    make("path", { d: outline(this.arrow.handle_in), fill: "var(--lw-wood)", stroke: "var(--lw-wood-edge)", "stroke-width": 1 }, svg);
    make("path", { d: outline(this.arrow.plate_in), fill: "var(--lw-leather)" }, svg);
    this.plate = this.spot(0, this.arrow.plate_offset_in);
  }

  show(time) {
    const a = this.arrow;
    const after = a.frames.findIndex((frame) => frame[0] >= time - 1e-9);
    const [ms, nock, ...axis] = a.frames.at(after);
    const r = a.diameter_in / 2;
    const station = a.station_in;
    const at = (s) => {
      let i = station.findIndex((t) => t > s);
      if (i < 1) i = i === 0 ? 1 : station.length - 1;
      const part = (s - station[i - 1]) / (station[i] - station[i - 1]);
      return axis[i - 1] + part * (axis[i] - axis[i - 1]);
    };
    const edge = (s, away) => this.spot(nock + s, at(s) + away);
    const along = [0, ...station.filter((s) => s > 0.5 && s < a.length_in), a.length_in];
    const left = along.map((s) => edge(s, r));
    const right = along.map((s) => edge(s, -r)).reverse();
    this.shaft.setAttribute("d", path([...left, ...right, edge(0.45, 0)]) + "Z");
    const tip = edge(a.length_in + a.point_length_in, 0);
    const [f1, f2] = [left.at(-1), right[0]];
    const knee = (tip[1] - f1[1]) * 0.45;
    this.point.setAttribute("d", `M${f1[0]} ${f1[1]}Q${f1[0]} ${f1[1] + knee} ${tip[0]} ${tip[1]}Q${f2[0]} ${f2[1] + knee} ${f2[0]} ${f2[1]}Z`);
    const profile = [[0, 0], [0.04, 0.75], [0.22, 1], [0.45, 0.82], [0.75, 0.42], [1, 0]];
    const run = a.fletching_front_in - a.fletching_rear_in;
    const vane = (side, share) => share <= 0 ? "" : path([
      ...profile.map(([u, h]) => edge(a.fletching_rear_in + u * run, side * (r + h * share * a.fletching_height_in))),
      edge(a.fletching_front_in, 0), edge(a.fletching_rear_in, 0),
    ]) + "Z";
    this.leftFeather.setAttribute("d", vane(1, a.fletching_left));
    this.rightFeather.setAttribute("d", vane(-1, a.fletching_right));
    const driven = ms <= a.string_left_ms;
    const brace = -a.brace_height_in;
    const tail = driven ? this.spot(nock + 0.15, axis[0]) : this.spot(brace, 0);
    const tipX = Math.max(brace + 0.4 * (Math.min(nock, brace) - brace), nock + 0.6);
    this.string.setAttribute("d", driven ? path([tail, this.spot(tipX, 0)]) : "");
    this.knot.setAttribute("cx", tail[0]);
    this.knot.setAttribute("cy", tail[1]);
    const touch = a.kind !== "clears" && a.contacts.find((c) => (c.part === "fletching" || c.after_string) && ms >= c.from_ms && ms <= c.to_ms);
    const resting = a.contacts.some((c) => c.plane === "plate" && ms >= c.from_ms && ms <= c.to_ms);
    const slap = a.kind === "slaps";
    this.star.setAttribute("visibility", touch ? "visible" : "hidden");
    if (touch) {
      // A star for a slap, a ring for a brush: told by shape, not by colour alone.
      const size = slap ? 9 + 9 * Math.sqrt(Math.min(1, touch.impulse_mns / (this.view.hardest || 1))) : 8;
      const star = [...Array(16).keys()].map((i) => {
        const reach = slap && i % 2 ? size * 0.45 : size;
        return [this.plate[0] + reach * Math.sin(i * Math.PI / 8), this.plate[1] - reach * Math.cos(i * Math.PI / 8)];
      });
      this.star.setAttribute("d", path(star) + "Z");
      this.star.setAttribute("fill", slap ? "var(--lw-paper)" : "none");
      this.star.setAttribute("stroke", slap ? "var(--lw-knock)" : "var(--lw-ink)");
    }
    let state = "free of the string";
    if (driven) state = resting ? "driven, on the plate" : "driven, clear of the plate";
    if (ms >= a.nock_past_plate_ms) state = `past the bow. ${a.meeting}.`;
    if (touch && touch.part !== "fletching") state = `shaft ${slap ? "slaps" : "brushes"} the bow`;
    else if (touch) state = `feathers ${slap ? "slap" : "brush"} the bow`;
    this.state.textContent = state;
    this.state.className = touch && slap ? "touch" : "";
  }
}

function start(host) {
  const stage = host.querySelector(".stage");
  const moment = host.querySelector("[data-moment]");
  const slow = host.querySelector("[data-slow]");
  const play = host.querySelector("[data-play]");
  const clock = host.querySelector("[data-clock]");
  let lanes = [], times = [], end = 0, factor = 1;
  let running = false, since = 0, from = 0;

  // New arrows keep the moment that is shown, as near as their own frames allow.
  const set = (arrows, first = 0) => {
    const at = times[moment.value] ?? first;
    const view = limits(arrows);
    const fitting = (WIDE - 4) / ((view.left - view.right) * ALONG);
    factor = FACTORS.find((f) => f <= fitting) ?? 1;
    view.across = ALONG * factor;
    view.slack = (WIDE - (view.left - view.right) * view.across) / 2;
    view.hardest = Math.max(...arrows.flatMap((a) => a.contacts.filter((c) => c.part === "fletching" || c.after_string).map((c) => c.impulse_mns)), 0);
    stage.replaceChildren();
    stage.dataset.lanes = arrows.length;
    lanes = arrows.map((arrow) => new Lane(arrow, view, stage));
    const longest = arrows.reduce((a, b) => (b.frames.at(-1)[0] > a.frames.at(-1)[0] ? b : a));
    times = longest.frames.map((frame) => frame[0]);
    const last = Math.max(...arrows.map((a) => a.nock_past_plate_ms)) + 0.5;
    end = times.findIndex((t) => t >= last);
    if (end < 0) end = times.length - 1;
    moment.max = end;
    const index = times.findIndex((t) => t >= at - 1e-9);
    moment.value = index < 0 ? end : Math.min(index, end);
    show(Number(moment.value));
  };
  const show = (index) => {
    lanes.forEach((lane) => lane.show(times[index]));
    const slowness = SLOWNESS[slow.value];
    const words = `${times[index].toFixed(1)} ms after the loose`;
    moment.setAttribute("aria-valuetext", words);
    slow.setAttribute("aria-valuetext", `${slowness} times slower than life`);
    clock.textContent = `${words}. ${slowness} times slower than life. Sideways drawn ${factor} times as wide as along.`;
  };
  const stop = () => {
    running = false;
    play.textContent = "Play";
  };
  const step = (now) => {
    if (!running) return;
    const ms = from + (now - since) / SLOWNESS[slow.value];
    let index = times.findIndex((t) => t > ms) - 1;
    if (index < 0 || index > end) index = end;
    moment.value = index;
    show(index);
    if (index >= end) return stop();
    requestAnimationFrame(step);
  };
  const go = () => {
    if (Number(moment.value) >= end) moment.value = 0;
    running = true;
    play.textContent = "Pause";
    from = times[moment.value];
    since = performance.now();
    requestAnimationFrame(step);
  };
  play.addEventListener("click", () => (running ? stop() : go()));
  moment.addEventListener("input", () => {
    stop();
    show(Number(moment.value));
  });
  slow.addEventListener("input", () => {
    if (running) go();
    show(Number(moment.value));
  });
  // Whoever has other arrows to show hands them over with this event.
  host.addEventListener("arrows", (event) => {
    stop();
    // At first the tail of the last one passes the bow: there one arrow differs from another.
    const a = event.detail.at(-1);
    const tail = a.frames.find(([, nock]) => nock + a.fletching_front_in >= 0) ?? a.frames.at(-1);
    set(event.detail, tail[0]);
    host.hidden = false;
  });
  const arrows = JSON.parse(host.querySelector("script")?.textContent ?? "[]");
  if (!arrows.length) return;
  set(arrows);
  host.hidden = false;
  const still = matchMedia("(prefers-reduced-motion: reduce)").matches;
  if (!still && "IntersectionObserver" in window) {
    // Once, when it is first seen; afterwards it moves only when asked.
    const seen = new IntersectionObserver((entries) => {
      if (entries.some((entry) => entry.isIntersecting)) {
        seen.disconnect();
        if (Number(moment.value) === 0 && !running) go();
      }
    }, { threshold: 0.6 });
    seen.observe(stage);
  }
}

document.querySelectorAll("[data-motion]").forEach(start);
