// Points on a photograph: two ends of the scale, the aim, then a hole and a nock for each arrow.
// The loupe shows what is under the finger; arrow keys and Enter do the same as a touch.

const host = document.querySelector("[data-photo]");
const picture = host.querySelector(".picture");
const marks = host.querySelector("[data-marks]");
const cross = host.querySelector("[data-cross]");
const loupe = host.querySelector(".loupe");
const now = document.querySelector("[data-now]");
const table = host.querySelector(".shots");
const refusal = host.querySelector("[data-refusal]");
const typed = host.querySelector("[data-typed]");
const box = picture.viewBox.baseVal;
const SVG = "http://www.w3.org/2000/svg";

const state = { scale: [], aim: null, arrows: [], order: [] };
let step = "scale", at = [box.width / 2, box.height / 2];

const words = {
  scale: "Set the two ends of the scale.",
  aim: "Set the point you aimed at.",
  entry: "Set where an arrow enters the butt.",
  nock: "Set the nock of that arrow, or the hole of the next.",
};

const size = () => box.width / 90;

function draw(kind, attributes, text) {
  const made = document.createElementNS(SVG, kind);
  Object.entries(attributes).forEach(([key, value]) => made.setAttribute(key, value));
  if (text) made.textContent = text;
  return made;
}

function choose(next) {
  step = next;
  host.querySelectorAll("[data-step]").forEach((button) => {
    button.setAttribute("aria-pressed", String(button.dataset.step === step));
  });
  now.textContent = words[step];
}

function show() {
  const r = size(), drawn = [];
  state.scale.forEach(([x, y], i) => {
    drawn.push(draw("path", { class: "scale", d: `M${x - r} ${y}h${2 * r}M${x} ${y - r}v${2 * r}` }));
    if (i) drawn.unshift(draw("path", { class: "scale", d: `M${state.scale[0]}L${x} ${y}` }));
  });
  if (state.aim) {
    const [x, y] = state.aim;
    drawn.push(draw("path", { class: "aim", d: `M${x - 2 * r} ${y}h${4 * r}M${x} ${y - 2 * r}v${4 * r}` }));
  }
  state.arrows.forEach(({ entry, nock, bare }, i) => {
    if (nock) {
      drawn.push(draw("path", { class: "shaft", d: `M${entry}L${nock}` }));
      drawn.push(draw("circle", { class: "nock", cx: nock[0], cy: nock[1], r: r * 0.7 }));
    }
    drawn.push(draw("circle", { class: bare ? "hole bare" : "hole", cx: entry[0], cy: entry[1], r }));
    drawn.push(draw("text", { x: entry[0] + 1.4 * r, y: entry[1] - r, "font-size": 2.4 * r }, String(i + 1)));
  });
  marks.replaceChildren(...drawn);
  rows();
}

function rows(found = []) {
  table.hidden = !state.arrows.length;
  table.tBodies[0].replaceChildren(...state.arrows.map((arrow, i) => {
    const row = document.createElement("tr");
    const name = document.createElement("input");
    name.value = arrow.name;
    name.setAttribute("aria-label", `Name of arrow ${i + 1}`);
    name.addEventListener("input", () => { arrow.name = name.value; });
    const bare = document.createElement("input");
    bare.type = "checkbox";
    bare.checked = arrow.bare;
    bare.setAttribute("aria-label", `Arrow ${i + 1} is bare`);
    bare.addEventListener("change", () => { arrow.bare = bare.checked; show(); });
    const told = found[i];
    const side = (value, plus, minus, unit, digits) => `${Math.abs(value).toFixed(digits)} ${unit} ${value >= 0 ? plus : minus}`;
    const place = told ? `${side(told.left_in, "left", "right", "in", 1)}, ${side(told.high_in, "high", "low", "in", 1)} (± ${told.place_error_in.toFixed(1)} in)` : "";
    const stand = told && told.nock_left_deg !== null ? `${side(told.nock_left_deg, "left", "right", "deg", 0)}, ${side(told.nock_high_deg, "high", "low", "deg", 0)} (± ${told.angle_error_deg.toFixed(0)} deg)` : "";
    [name, bare, place, stand].forEach((part) => {
      const cell = document.createElement("td");
      cell.append(part);
      row.append(cell);
    });
    return row;
  }));
}

function set(point) {
  if (step === "scale") {
    if (state.scale.length === 2) state.scale = [];
    state.scale.push(point);
    if (state.scale.length === 2) choose("aim");
  } else if (step === "aim") {
    state.aim = point;
    choose("entry");
  } else if (step === "entry") {
    state.arrows.push({ entry: point, nock: null, bare: false, name: String(state.arrows.length + 1) });
    choose("nock");
  } else {
    const last = state.arrows.at(-1);
    if (last) last.nock = point;
    choose("entry");
  }
  typed.hidden = true;
  show();
}

function takeBack() {
  const last = state.arrows.at(-1);
  if (last?.nock) { last.nock = null; choose("nock"); }
  else if (last) { state.arrows.pop(); choose("entry"); }
  else if (state.aim) { state.aim = null; choose("aim"); }
  else { state.scale.pop(); choose("scale"); }
  show();
}

function aimAt(point) {
  at = [Math.min(Math.max(point[0], 0), box.width), Math.min(Math.max(point[1], 0), box.height)];
  // Never under the finger: the loupe moves to the other side.
  loupe.classList.toggle("left", at[0] > box.width / 2);
  const zoom = 600 / box.width * 4, wide = 200 / zoom;
  loupe.setAttribute("viewBox", `${at[0] - wide / 2} ${at[1] - wide / 2} ${wide} ${wide}`);
  const line = loupe.querySelector("path");
  const [x, y] = at, a = wide / 2, b = wide / 12;
  line.setAttribute("d", `M${x} ${y - a}V${y - b}M${x} ${y + b}V${y + a}M${x - a} ${y}H${x - b}M${x + b} ${y}H${x + a}`);
  line.setAttribute("stroke-width", wide / 130);
  const r = size();
  cross.replaceChildren(draw("path", { d: `M${x - 1.5 * r} ${y}h${3 * r}M${x} ${y - 1.5 * r}v${3 * r}` }));
}

const place = (event) => {
  const spot = new DOMPoint(event.clientX, event.clientY).matrixTransform(picture.getScreenCTM().inverse());
  return [spot.x, spot.y];
};

picture.addEventListener("pointermove", (event) => aimAt(place(event)));
picture.addEventListener("pointerdown", (event) => aimAt(place(event)));
picture.addEventListener("click", (event) => set(place(event).map((v) => Math.round(v * 10) / 10)));
picture.addEventListener("focus", () => { cross.removeAttribute("hidden"); });
picture.addEventListener("keydown", (event) => {
  const far = event.shiftKey ? 1 : box.width / 200;
  const way = { ArrowLeft: [-far, 0], ArrowRight: [far, 0], ArrowUp: [0, -far], ArrowDown: [0, far] }[event.key];
  if (way) aimAt([at[0] + way[0], at[1] + way[1]]);
  else if (event.key === "Enter") set(at.map((v) => Math.round(v * 10) / 10));
  else if (event.key === "Backspace") takeBack();
  else return;
  event.preventDefault();
});
host.querySelectorAll("[data-step]").forEach((button) => button.addEventListener("click", () => choose(button.dataset.step)));
host.querySelector("[data-undo]").addEventListener("click", takeBack);

function refuse(words_) {
  refusal.hidden = !words_;
  refusal.querySelector("p").textContent = words_ ?? "";
}

host.querySelector("[data-lengths]").addEventListener("submit", async (event) => {
  event.preventDefault();
  const lengths = Object.fromEntries(new FormData(event.target));
  try {
    const answer = await fetch(`${host.dataset.photo}/measure`, {
      method: "POST",
      headers: { "Content-Type": "application/json" },
      body: JSON.stringify({ ...lengths, scale: state.scale, aim: state.aim, arrows: state.arrows }),
    });
    const told = await answer.json();
    refuse(told.refusal);
    typed.hidden = "refusal" in told;
    if (told.refusal) return;
    rows(told.arrows);
    typed.querySelector("pre").textContent = told.typed.join(" \\\n");
  } catch {
    refuse("The program that serves this page does not answer. Start it again with: loosewell serve");
  }
});

host.hidden = false;
aimAt(at);
choose("scale");
show();
