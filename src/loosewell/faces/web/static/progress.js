// The wait: one stream of progress; when it ends, the same address has the answer.

const host = document.querySelector("[data-progress]");
const stage = host.querySelector("[data-stage]");
const bar = host.querySelector("progress");
const stream = new EventSource(host.dataset.progress);

stream.addEventListener("message", (event) => {
  const state = JSON.parse(event.data);
  if (state.stage) stage.textContent = state.stage;
  bar.value = state.share;
  if (state.done) {
    stream.close();
    location.reload();
  }
});

// A restarted server knows nothing of this job: asking again begins it anew.
stream.addEventListener("error", () => {
  stream.close();
  setTimeout(() => location.reload(), 2000);
});
