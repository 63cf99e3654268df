// The wait for a reading: asked twice a second; when it is done, the same address has the answer.

const host = document.querySelector("[data-reading]");
const stage = host.querySelector("[data-stage]");
const bar = host.querySelector("progress");

async function look() {
  try {
    const state = await (await fetch(host.dataset.reading)).json();
    if (state.stage) stage.textContent = state.stage;
    bar.value = state.share;
    if (state.done) {
      location.reload();
      return;
    }
  } catch {
    stage.textContent = "The program that serves this page does not answer.";
  }
  setTimeout(look, 500);
}
look();
