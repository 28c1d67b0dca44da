// A log's file on its way: how much of it was sent, and what the garage says to it, on this page.
// Without this script the form is sent as any other, and the answer is a page.

const form = document.getElementById("upload");
const wrong = document.getElementById("file-wrong");
const sending = document.getElementById("sending");
const bar = document.getElementById("sent");
const says = document.getElementById("sent-says");
const button = form.querySelector("button");

function refuse(sentence) {
  wrong.textContent = sentence;
  wrong.hidden = false;
  form.file.setAttribute("aria-invalid", "true");
  sending.hidden = true;
  button.disabled = false;
}

function answered(request) {
  let told = {};
  try {
    told = JSON.parse(request.responseText);
  } catch {
    // Not from the garage's own form: a gate or a proxy in between.
  }
  if (told.to) location.assign(told.to);
  else refuse(told.why ?? "The garage did not take it. Load this page again, and choose the file once more.");
}

function send(file) {
  const request = new XMLHttpRequest();
  const body = new FormData(form);
  request.upload.addEventListener("progress", (sent) => {
    bar.value = sent.lengthComputable ? (100 * sent.loaded) / sent.total : 0;
    says.textContent = bar.value < 100 ? `${Math.floor(bar.value)} %` : "reading";
  });
  request.addEventListener("load", () => answered(request));
  request.addEventListener("error", () => refuse(`The garage can't be reached. ${file.name} was not sent.`));
  request.open("POST", form.action);
  request.setRequestHeader("Accept", "application/json");
  request.send(body);
}

form.addEventListener("submit", (event) => {
  const [file] = form.file.files;
  if (!file) return;
  event.preventDefault();
  wrong.hidden = true;
  form.file.removeAttribute("aria-invalid");
  if (file.size > Number(form.dataset.most)) {
    refuse(form.dataset.tooLarge);
    return;
  }
  bar.value = 0;
  says.textContent = "0 %";
  sending.hidden = false;
  button.disabled = true;
  send(file);
});
// Come back to with the browser's own button, it can be sent again.
addEventListener("pageshow", () => {
  sending.hidden = true;
  button.disabled = false;
});
