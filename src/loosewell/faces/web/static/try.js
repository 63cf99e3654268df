// The sliders: each change asks for one new launch. One request is under way at a time;
// whatever was moved meanwhile is asked next, and only its newest place.

const host = document.querySelector("[data-try]");
const sliders = [...host.querySelectorAll(".builds input")];
const said = host.querySelector("[data-said]");
const drawing = host.querySelector("[data-drawing]");
const moving = host.querySelector("[data-motion]");
const fitting = JSON.parse(document.querySelector("[data-motion] > script")?.textContent ?? "[]")[0];

let busy = false, wanted = "";

const shown = (slider) => {
  const value = Number(slider.value), unit = slider.dataset.unit;
  if (unit === "in") return `${value.toFixed(2)} in (${(value * 25.4).toFixed(0)} mm)`;
  if (unit === "gr") return `${value} gr (${(value * 0.06479891).toFixed(1)} g)`;
  return `${value} lb`;
};

const label = (slider) => {
  const words = shown(slider);
  slider.previousElementSibling.textContent = words;
  slider.setAttribute("aria-valuetext", words);
};

function show(told) {
  said.classList.toggle("refused", "refusal" in told);
  if ("refusal" in told) {
    said.textContent = told.refusal;
    drawing.replaceChildren();
    moving.hidden = true;
    return;
  }
  said.replaceChildren(...told.said.map((sentence) => {
    const line = document.createElement("span");
    line.textContent = sentence;
    return line;
  }));
  const svg = new DOMParser().parseFromString(told.svg, "image/svg+xml").documentElement;
  drawing.replaceChildren(document.importNode(svg, true));
  moving.dispatchEvent(new CustomEvent("arrows", { detail: fitting ? [fitting, told.arrow] : [told.arrow] }));
}

async function ask() {
  const build = new URLSearchParams(sliders.map((s) => [s.name, `${s.value} ${s.dataset.unit}`]));
  wanted = `${host.dataset.try}&${build}`;
  if (busy) return;
  busy = true;
  host.setAttribute("aria-busy", "true");
  while (wanted) {
    const address = wanted;
    wanted = "";
    try {
      const answer = await fetch(address);
      show(await answer.json());
    } catch {
      show({ refusal: "The program that serves this page does not answer. Start it again with: loosewell serve" });
    }
  }
  busy = false;
  host.removeAttribute("aria-busy");
}

sliders.forEach((slider) => {
  label(slider);
  slider.addEventListener("input", () => {
    label(slider);
    ask();
  });
});
host.hidden = false;
ask();
