// The button that prints the page, where a browser can.

const button = document.getElementById("print");
if (button) {
  button.parentElement.hidden = false;
  button.addEventListener("click", () => window.print());
}
