/*
A lesson on paper. What is printed, and how it is laid out, stands in paper.css.

- A lesson has a button for it, and Ctrl+P does the same. Both wait until the lesson has run and its
  figures are drawn, and say so; a figure is drawn only when Python has nothing else to do.
- The exercises and the trainer's notes are printed when they are asked for, beside the button.
- Printed from the browser's own menu nothing can wait: a figure that is not drawn says so.
*/

(() => {
  const LESSON = /^\d\d /;
  const LATER = /^Checked against/; // for the screen: the computer's own check
  const PATIENCE = 90; // seconds
  const NEVER = "Not printed: the lesson has not run to its end. Press Run this lesson, then print again.";

  const page = () =>
    [...document.querySelectorAll(".jp-Notebook, #rendered_cells")].find(one => one.offsetParent);
  const headingOf = node => node.querySelector(".jp-RenderedMarkdown :is(h1, h2)");
  const wordsOf = heading => heading?.textContent.replace("¶", "").trim() ?? "";
  const isLesson = here => LESSON.test(wordsOf(here && headingOf(here)));

  function make(kind, name, words = "") {
    return Object.assign(document.createElement(kind), { className: name, textContent: words });
  }

  // What is on paper ------------------------------------------------------------------------

  /* Marks the cells of a lesson that are for the screen alone. */
  function sortCells(here) {
    let later = false;
    for (const cell of here.querySelectorAll(".jp-Cell")) {
      const heading = headingOf(cell);
      if (heading) later = LATER.test(wordsOf(heading));
      else if (later && !cell.querySelector("pre")) later = false;
      cell.classList.toggle("gk-not-on-paper", later);
    }
  }

  const drawn = figure => {
    const picture = figure.querySelector("img.gk-picture");
    return figure.matches(".gk-failed") || (picture?.complete && picture.naturalWidth > 1);
  };
  const figuresOf = here => [...here.querySelectorAll(".gk-figure")];

  /* In JupyterLab a cell that has run shows something; in a class the server has run them all. */
  function hasRun(here) {
    if (here.id === "rendered_cells") return !here.querySelector(".jupyter-widgets-loading");
    return [...here.querySelectorAll(".jp-CodeCell")].pop()?.querySelector(".jp-OutputArea-child");
  }

  function markUndrawn() {
    const here = page();
    if (!here) return;
    if (isLesson(here)) sortCells(here);
    for (const figure of figuresOf(here)) figure.classList.toggle("gk-undrawn", !drawn(figure));
  }

  // Printing --------------------------------------------------------------------------------

  const said = make("p", "gk-paper-said");
  said.setAttribute("role", "status");
  const chosen = { exercises: false, notes: false };
  let busy = false;

  const say = words => { said.textContent = words; };
  const pause = () => new Promise(done => setTimeout(done, 200));

  /* Waits, and says what for; returns whether everything is there. */
  async function everythingDrawn(here) {
    const end = Date.now() + 1000 * PATIENCE;
    while (Date.now() < end) {
      const figures = figuresOf(here), left = figures.filter(one => !drawn(one)).length;
      if (hasRun(here) && !left) {
        const images = figures.flatMap(one => [...one.querySelectorAll("img")]);
        await Promise.all(images.map(one => one.decode().catch(() => {})));
        return true;
      }
      say(left
        ? `Printing waits: ${figures.length - left} of ${figures.length} figures are drawn.`
        : "Printing waits until the lesson has run.");
      await pause();
    }
    return false;
  }

  function openNotes(here) {
    const closed = chosen.notes ? [...here.querySelectorAll("details:not([open])")] : [];
    closed.forEach(one => { one.open = true; });
    return closed;
  }

  async function printLesson(here) {
    if (busy) return;
    busy = true;
    try {
      if (!(await everythingDrawn(here))) {
        say(NEVER);
        return;
      }
      say("");
      document.body.classList.toggle("gk-with-exercises", chosen.exercises);
      const closed = openNotes(here);
      window.addEventListener("afterprint", () => closed.forEach(one => { one.open = false; }),
        { once: true });
      window.print();
    } finally {
      busy = false;
    }
  }

  function pressed(event) {
    if (!(event.ctrlKey || event.metaKey) || event.altKey || event.shiftKey) return;
    const here = page();
    if (event.key.toLowerCase() !== "p" || !isLesson(here)) return;
    event.preventDefault();
    event.stopImmediatePropagation();
    printLesson(here);
  }

  // The button ------------------------------------------------------------------------------

  function choice(name, words) {
    const label = make("label", ""), box = make("input", "");
    box.type = "checkbox";
    box.checked = chosen[name];
    box.addEventListener("change", () => { chosen[name] = box.checked; });
    label.append(box, " " + words);
    return label;
  }

  function button(here) {
    const row = make("div", "gk-print"), more = make("details", "gk-print-more");
    const print = make("button", "gk-print-button", "Print this lesson");
    print.type = "button";
    print.title = "Ctrl+P";
    print.addEventListener("click", () => printLesson(page()));
    const notes = choice("notes", "the trainer's notes");
    more.append(make("summary", "", "with …"), choice("exercises", "the exercises"), notes);
    /* The notes may be the trainer's alone: what the page does not show is not offered. */
    notes.hidden = true;
    more.addEventListener("toggle", () => {
      notes.hidden = !here.querySelector(".gk-notes")?.offsetParent;
    });
    row.append(print, more);
    return row;
  }

  function look() {
    const here = page();
    document.body.classList.toggle("gk-lesson", isLesson(here));
    if (!said.isConnected) document.body.append(said);
    if (!isLesson(here) || here.querySelector(".gk-print")) return;
    headingOf(here).closest(".jp-Cell").prepend(button(here));
  }

  let waiting = 0;
  function begin() {
    window.addEventListener("keydown", pressed, true);
    window.addEventListener("beforeprint", markUndrawn);
    new MutationObserver(() => {
      clearTimeout(waiting);
      waiting = setTimeout(look, 300);
    }).observe(document.body, { childList: true, subtree: true });
    look();
  }

  window._JUPYTERLAB ??= {};
  window._JUPYTERLAB["geodesy-paper"] = {
    init: () => {},
    get: async () => () => ({ id: "geodesy-paper:paper", autoStart: true, activate: begin }),
  };
})();
