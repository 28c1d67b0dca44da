// Before anything is painted: a page that entries of this phone will be laid over is shown once they are, so that
// nothing moves under the thumb. A small classic script, since it has to run before the page is read.
if (localStorage.getItem("waits") === "yes") document.documentElement.classList.add("laying");
