/*
What a page does by itself in a class only. Loaded before everything else, so that it sees the
page's line to its Python; page.js does what a page does in a class and in JupyterLab alike.
*/

(() => {
  const CUT = "The connection is interrupted. Wait a moment; what you kept stays kept.";
  const ASLEEP = "This page sleeps: you have opened others since. ";
  const WAKE = "Wake this page";
  const SLEEPING = 4001; // as lessons/server/kernels.py closes a line
  let words = null;

  function say(text, wake) {
    words ??= document.body.appendChild(Object.assign(document.createElement("p"), {
      className: "gk-line",
    }));
    words.setAttribute("role", "alert");
    words.textContent = text;
    if (!wake) return;
    const button = document.createElement("button");
    button.textContent = WAKE;
    button.addEventListener("click", () => location.reload());
    words.append(button);
  }

  const Plain = window.WebSocket;
  window.WebSocket = class extends Plain {
    constructor(...about) {
      super(...about);
      let open = false;
      this.addEventListener("open", () => { open = true; say(""); });
      this.addEventListener("close", event => {
        if (event.code === SLEEPING) say(ASLEEP, true);
        else if (open && !window.gkLeaving) say(CUT);
      });
    }
  };
  /* page.js sets large type on a notebook's panel; here that is what scrolls. */
  document.addEventListener("DOMContentLoaded", () => {
    document.getElementById("rendered_cells")?.classList.add("jp-NotebookPanel");
  });
  window.addEventListener("pagehide", () => { window.gkLeaving = true; });
})();
