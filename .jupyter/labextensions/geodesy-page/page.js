/*
What a page of the course does by itself, before and without Python.

JupyterLab loads this file as an extension; it stands here as it was written, nothing is built.

- F8 goes to the next section, Shift F8 back: JupyterLab's own commands do not scroll.
- A link to a page of the course brings the tab of that page to the front, or opens one. A tab
  that is open keeps its run, and reload and Back do in it what they always do.
- Until the lesson can run, its button says so; while Python works, the page says so in words.
  When Python stops and starts again, the page says so: its widgets no longer answer.
- A notebook whose figures are drawn for the wall is set in large type.
- What is typed in an answer box and not yet kept comes back after a run, a crash or a reload, as
  long as the tab is open.
- Radio buttons of one question belong together: Tab goes past them, arrow keys among them.
*/

(() => {
  /* In a class the whole document is the notebook, and what scrolls stands in it. */
  const page = () =>
    [...document.querySelectorAll(".jp-Notebook, #rendered_cells")].find(one => one.offsetParent);

  // Sections ---------------------------------------------------------------------------

  function goToSection(event) {
    const here = page();
    if (event.key !== "F8" || event.ctrlKey || event.altKey || event.metaKey || !here) return;
    event.preventDefault();
    const top = here.getBoundingClientRect().top;
    const places = [...here.querySelectorAll(".jp-RenderedMarkdown :is(h1, h2)")]
      .map(heading => heading.getBoundingClientRect().top - top);
    const next = event.shiftKey ? places.filter(y => y < 2).pop() : places.find(y => y > 14);
    if (next !== undefined) here.scrollBy(0, next - 8);
  }

  // Pages ------------------------------------------------------------------------------

  /* JupyterLab gives each further tab a workspace of its own, and a link in prose its file. */
  const pathOf = url => url.pathname.replace(/\/(files|doc(\/workspaces\/[^/]+)?\/tree)\//, "/doc/tree/");
  const tabOf = path => "geodesy-" + path.split("/").pop().replace(".ipynb", "");

  function openPage(event) {
    const link = event.target.closest?.(".jp-Notebook a[href]");
    if (!link || link.hasAttribute("download") || event.button > 1) return;
    const path = pathOf(new URL(link.href));
    if (link.origin !== location.origin || !path.endsWith(".ipynb")) return;
    if (path === pathOf(location)) return;
    event.preventDefault();
    event.stopImmediatePropagation();
    const another = event.ctrlKey || event.metaKey || event.button === 1;
    const tab = window.open("", another ? "_blank" : tabOf(path));
    const place = path + new URL(link.href).hash;
    if (!tab) location.href = place;
    else if (pathOf(tab.location) !== path || place !== path) tab.location.href = place;
    tab?.focus();
  }

  // Python -----------------------------------------------------------------------------

  const STOPPED = "Python was restarted. Press Run this lesson: what you kept and typed comes back.";
  const DEAD = "Python has stopped. Reload this page: it runs again, and what you kept and typed "
    + "comes back.";
  const CLOSED = "The course has stopped. Start it again, then reload this page: what you kept and "
    + "typed comes back.";
  const NOT_YET = "[aria-label='No Kernel'], [data-status='initializing'], [data-status='connecting'], "
    + "[data-status='unknown'], [data-status='starting'], [data-status='restarting']";
  const watched = new WeakSet();

  /* The style sheet goes by classes alone; what a toolbar shows of Python becomes one here. */
  function watchToolbar(toolbar) {
    const look = () => {
      toolbar.classList.toggle("gk-getting-ready", toolbar.querySelector(NOT_YET) !== null);
      toolbar.classList.toggle("gk-busy", toolbar.querySelector("[data-status='busy']") !== null);
    };
    new MutationObserver(look).observe(toolbar, {
      attributes: true, attributeFilter: ["aria-label", "data-status"], childList: true, subtree: true,
    });
    look();
  }

  function watch(panel) {
    const python = panel.context?.sessionContext;
    if (!python || watched.has(panel)) return;
    watched.add(panel);
    window.name = tabOf(panel.context.path);
    const words = document.createElement("span");
    words.className = "gk-stopped";
    words.setAttribute("role", "alert");
    panel.toolbar.node.append(words);
    watchToolbar(panel.toolbar.node);
    const say = text => {
      words.textContent = text;
      panel.node.classList.toggle("gk-python-stopped", text !== "");
    };
    const kernel = () => python.session?.kernel;
    let ran = false, met = kernel()?.connectionStatus === "connected";
    panel.node.addEventListener("gk-put-back", () => { ran = true; }); // live.js has not run it anew
    python.iopubMessage.connect((_, message) => {
      if (message.header.msg_type !== "execute_input") return;
      if (message.parent_header.session !== kernel()?.clientId) return; // another tab's run
      ran = true;
      say("");
    });
    python.statusChanged.connect((_, status) => {
      if (!["starting", "restarting", "autorestarting", "dead"].includes(status)) return;
      if (ran || words.textContent) say(status === "dead" ? DEAD : STOPPED);
      ran = false;
      // Restarted from elsewhere it would say "starting" for ever: it listens on a new line.
      if (words.textContent) setTimeout(() => {
        if (kernel()?.status === "starting") kernel().reconnect();
      }, 1000);
    });
    python.connectionStatusChanged.connect((_, status) => {
      if (status === "connected") {
        met = true;
        if (words.textContent === CLOSED) say("");
      } else if (met) setTimeout(() => {
        if (kernel() && kernel().connectionStatus !== "connected") say(CLOSED);
      }, 5000);
    });
  }

  /* JupyterLab says it too, in a dialog and in words for programmers. */
  function closeDialog() {
    const buttons = document.querySelectorAll(".jp-Dialog .jp-Dialog-button");
    if (buttons.length === 1 && document.querySelector(".gk-stopped:not(:empty)")) {
      buttons[0].click();
    }
  }

  // Type -------------------------------------------------------------------------------

  function fitType() {
    for (const panel of document.querySelectorAll(".jp-NotebookPanel")) {
      panel.classList.toggle("gk-large-type", panel.querySelector(".gk-wall") !== null);
    }
  }

  // Answer boxes -----------------------------------------------------------------------

  const BOX = ".gk-box[class*='gk-box-']";
  const nameOf = (node, start) => [...node.classList].find(name => name.startsWith(start));
  const stateOf = box => box.querySelector(".gk-state")?.textContent;
  const fieldsOf = box => [...box.querySelectorAll(".gk-entries input")];
  const valueOf = field => field.type === "radio" ? field.checked : field.value;

  /* A draft belongs to one trainee, turn and answer: with another it is forgotten. */
  function keepDraft(event) {
    const box = event.target.closest?.(BOX);
    if (!box || !event.target.closest(".gk-entries")) return;
    const draft = { state: stateOf(box), values: fieldsOf(box).map(valueOf) };
    sessionStorage.setItem(nameOf(box, "gk-box-"), JSON.stringify(draft));
  }

  function bringDraftsBack() {
    for (const box of document.querySelectorAll(BOX + ":not(.gk-seen)")) {
      const fields = fieldsOf(box);
      const draft = JSON.parse(sessionStorage.getItem(nameOf(box, "gk-box-")));
      if (!draft || !stateOf(box) || fields.length < draft.values.length) continue; // still building
      box.classList.add("gk-seen");
      if (draft.state !== stateOf(box)) continue;
      fields.forEach((field, number) => {
        const typed = draft.values[number];
        if (valueOf(field) === typed) return;
        if (field.type === "radio") {
          if (typed) field.click();
          return;
        }
        field.value = typed;
        field.dispatchEvent(new Event("input", { bubbles: true }));
      });
    }
  }

  function groupRadios() {
    for (const radio of document.querySelectorAll(".widget-radio-box input:not([name])")) {
      const group = radio.closest(".widget-radio-box");
      group.id ||= "gk-" + Math.random().toString(36).slice(2);
      radio.name = group.id;
    }
  }

  // JupyterLab -------------------------------------------------------------------------

  window._JUPYTERLAB ??= {};
  window._JUPYTERLAB["geodesy-page"] = {
    init: () => {},
    get: async () => () => ({
      id: "geodesy-page:page",
      autoStart: true,
      activate: app => {
        document.addEventListener("keydown", goToSection, true);
        document.addEventListener("click", openPage, true);
        document.addEventListener("auxclick", openPage, true);
        document.addEventListener("input", keepDraft, true);
        new MutationObserver(() => {
          for (const panel of app.shell.widgets("main")) watch(panel);
          closeDialog();
          groupRadios();
          bringDraftsBack();
          fitType();
        }).observe(document.body, { childList: true, subtree: true });
        new MutationObserver(fitType).observe(document.body, {
          attributes: true, attributeFilter: ["class"], subtree: true,
        });
      },
    }),
  };
})();
