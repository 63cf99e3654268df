// Two taps a shot: where it hit, how its nock stands. Every shot is a line in the form, so that
// what is shown, kept and sent is the same; a sleeping phone finds it again.

const form = document.querySelector(".shooting");
if (form) start();

function start() {
  const pad = form.querySelector("[data-pad]");
  const butt = pad.querySelector("svg");
  const holes = pad.querySelector("[data-shots]");
  const cross = pad.querySelector("[data-cross]");
  const reach = pad.querySelector("[data-reach]");
  const said = pad.querySelector("[data-said]");
  const lines = form.querySelector("textarea");
  const kept = ["bow", "archer", "distance", "arrow", "shots"];
  const SVG = "http://www.w3.org/2000/svg";
  let kind = "fletched", at = [0, 0];

  const list = () => lines.value.split("\n").filter((line) => line.trim());
  const put = (all) => {
    lines.value = all.join("\n");
    keep();
    show();
  };
  const keep = () => {
    try {
      kept.forEach((name) => localStorage.setItem(`shoot-${name}`, form.elements[name].value));
    } catch { /* a browser that keeps nothing still sends everything */ }
  };

  function show() {
    const scale = 100 / Number(reach.value);
    holes.replaceChildren(...list().flatMap((line, i) => {
      const left = /([\d.]+) in (left|right)/.exec(line), high = /([\d.]+) in (high|low)/.exec(line);
      if (!left || !high) return [];
      const x = -scale * left[1] * (left[2] === "left" ? 1 : -1);
      const y = -scale * high[1] * (high[2] === "high" ? 1 : -1);
      const dot = document.createElementNS(SVG, "circle");
      dot.setAttribute("cx", x);
      dot.setAttribute("cy", y);
      dot.setAttribute("r", 3.4);
      dot.setAttribute("class", line.startsWith("bare") ? "bare" : "fletched");
      const way = [/nock left/.test(line) ? -9 : /nock right/.test(line) ? 9 : 0, /nock high/.test(line) ? -9 : /nock low/.test(line) ? 9 : 0];
      const tail = document.createElementNS(SVG, "path");
      tail.setAttribute("d", `M${x} ${y}l${way[0]} ${way[1]}`);
      const number = document.createElementNS(SVG, "text");
      number.setAttribute("x", x + 5);
      number.setAttribute("y", y - 4);
      number.textContent = String(i + 1);
      return [tail, dot, number];
    }));
    const all = list();
    said.textContent = all.length ? `${all.length}: ${all.at(-1)}` : "Tap where the first arrow hit.";
  }

  function hit([x, y]) {
    const scale = Number(reach.value) / 100;
    const left = -x * scale, high = -y * scale;
    put([...list(), `${kind}, ${Math.abs(left).toFixed(1)} in ${left >= 0 ? "left" : "right"}, ${Math.abs(high).toFixed(1)} in ${high >= 0 ? "high" : "low"}`]);
  }

  function more(words, instead) {
    const all = list();
    if (!all.length) {
      said.textContent = "Tap where the arrow hit first.";
      return;
    }
    const parts = all.pop().split(", ").filter((part) => !instead.test(part) && part !== words);
    put([...all, [...parts, words].join(", ")]);
  }

  const place = (event) => {
    const spot = new DOMPoint(event.clientX, event.clientY).matrixTransform(butt.getScreenCTM().inverse());
    return [spot.x, spot.y];
  };
  butt.addEventListener("click", (event) => hit(place(event)));
  butt.addEventListener("keydown", (event) => {
    const far = event.shiftKey ? 1 : 5;
    const way = { ArrowLeft: [-far, 0], ArrowRight: [far, 0], ArrowUp: [0, -far], ArrowDown: [0, far] }[event.key];
    if (way) at = [at[0] + way[0], at[1] + way[1]].map((v) => Math.min(Math.max(v, -100), 100));
    else if (event.key === "Enter") hit(at);
    else return;
    event.preventDefault();
    cross.removeAttribute("hidden");
    cross.setAttribute("d", `M${at[0] - 6} ${at[1]}h12M${at[0]} ${at[1] - 6}v12`);
  });
  pad.querySelectorAll("[data-bare]").forEach((button) => button.addEventListener("click", () => {
    kind = button.dataset.bare || "fletched";
    pad.querySelectorAll("[data-bare]").forEach((one) => one.setAttribute("aria-pressed", String(one === button)));
  }));
  pad.querySelectorAll("[data-nock]").forEach((button) => button.addEventListener("click", () => more(button.dataset.nock, /^(nock|straight)/)));
  pad.querySelectorAll("[data-add]").forEach((button) => button.addEventListener("click", () => more(button.dataset.add, /^$/)));
  pad.querySelector("[data-undo]").addEventListener("click", () => put(list().slice(0, -1)));
  reach.addEventListener("change", show);
  form.addEventListener("input", () => { keep(); show(); });
  form.addEventListener("submit", () => {
    // What was sent is kept by the workshop; a refusal brings it back from there.
    try { localStorage.removeItem("shoot-shots"); } catch { /* nothing was kept */ }
  });
  kept.forEach((name) => {
    const field = form.elements[name];
    let before = null;
    try { before = localStorage.getItem(`shoot-${name}`); } catch { /* nothing was kept */ }
    if (!field.value && before) field.value = before;
  });
  pad.hidden = false;
  show();
}
