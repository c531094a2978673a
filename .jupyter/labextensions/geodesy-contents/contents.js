/*
Where one is in a page of the course, in JupyterLab and in a class alike.

- The tab bears the page's own heading instead of its file's name.
- A lesson has a list of its contents: its sections, how many questions of each are answered. It
  opens above the page and pushes it down, so that it covers nothing.
- Whoever went elsewhere by the list, or comes back to a lesson, can go back to where they were.
- The trainer's notes are shown where the trainer has switched them on, on the start page.
*/

(() => {
  const BOX = ".gk-box[class*='gk-box-']";
  const SECTIONS = 5; // a page of fewer needs no list
  const PAUSE = 300; // milliseconds
  const TOP = { number: -1, words: "", beyond: 0 };
  const NOTES = /^Trainer['’]s notes/;
  const made = new WeakMap(); // what scrolls -> its contents

  function make(kind, name, words = "") {
    const node = document.createElement(kind);
    node.className = name;
    node.textContent = words;
    return node;
  }

  /* Without the sign that the notebook program puts behind a heading. */
  function wordsOf(heading) {
    const copy = heading.cloneNode(true);
    copy.querySelectorAll("a").forEach(link => link.remove());
    return copy.textContent.trim();
  }

  function later(act) {
    let waiting = 0;
    return () => {
      clearTimeout(waiting);
      waiting = setTimeout(act, PAUSE);
    };
  }

  // The tab ------------------------------------------------------------------------------

  function nameTab() {
    const heading = document.querySelector(".jp-RenderedMarkdown h1");
    const words = heading?.offsetParent && wordsOf(heading);
    if (words && document.title !== words) document.title = words;
  }

  // Sections -----------------------------------------------------------------------------

  /* Returns the sections of a lesson with their questions, in the order of the page. */
  function sectionsOf(page) {
    const sections = [];
    for (const node of page.querySelectorAll(`.jp-RenderedMarkdown h2, ${BOX}`)) {
      if (node.tagName === "H2") sections.push({ node, words: wordsOf(node), asked: 0, answered: 0 });
      else if (sections.length) {
        sections.at(-1).asked += 1;
        sections.at(-1).answered += node.classList.contains("gk-answered");
      }
    }
    return sections;
  }

  const sum = (sections, name) => sections.reduce((total, one) => total + one[name], 0);
  const shapeOf = one => !one.asked ? "" : !one.answered ? "○" : one.answered < one.asked ? "◐" : "●";
  const topOf = (page, node) => node.getBoundingClientRect().top - page.getBoundingClientRect().top;

  class Contents {
    /* `show` puts the list in its place and takes it away; it gets the height of the list. */
    constructor(page, name, show) {
      Object.assign(this, { page, show, sections: [], open: false, kept: "geodesy-place:" + name });
      this.bar = make("div", "gk-contents-bar");
      this.back = make("button", "gk-contents-back");
      this.button = make("button", "gk-contents-button");
      this.bar.append(this.back, this.button);
      this.list = make("nav", "gk-contents");
      this.list.setAttribute("aria-label", "Contents of this page");
      this.list.id = "gk-contents";
      this.button.setAttribute("aria-controls", this.list.id);
      this.bar.hidden = this.back.hidden = this.list.hidden = true;
      this.was = this.remembered();
      this.button.addEventListener("click", () => this.turn(!this.open));
      this.back.addEventListener("click", () => this.goBack());
      this.list.addEventListener("click", event => this.choose(event.target.closest("button")));
      for (const node of [this.list, this.bar]) {
        node.addEventListener("keydown", event => {
          if (event.key !== "Escape" || !this.open) return;
          this.turn(false);
          this.button.focus();
        });
      }
      page.addEventListener("scroll", later(() => this.moved()));
      let width = innerWidth;
      window.addEventListener("resize", later(() => {
        if (this.open && width !== innerWidth) this.turn(true);
        width = innerWidth;
      }));
    }

    /* Shows the page as it stands; what stays the same is left alone. */
    look() {
      this.sections = sectionsOf(this.page);
      const short = this.sections.length < SECTIONS;
      if (this.bar.hidden !== short) {
        this.bar.hidden = short;
        this.show(0);
      }
      const [answered, asked] = [sum(this.sections, "answered"), sum(this.sections, "asked")];
      const words = asked ? `Contents · ${answered} of ${asked} answered` : "Contents";
      if (this.button.textContent !== words) this.button.textContent = words;
      this.button.setAttribute("aria-expanded", this.open);
      this.offerBack();
      if (this.open) this.write();
    }

    write() {
      const here = this.here();
      const rows = this.sections.map((one, number) => {
        const [row, button] = [make("li", ""), make("button", "gk-contents-row")];
        const shape = make("span", "gk-contents-shape", shapeOf(one));
        shape.setAttribute("aria-hidden", true);
        button.append(shape, make("span", "gk-contents-words", one.words));
        const count = one.asked ? `${one.answered} of ${one.asked}` : "";
        const badge = make("span", "gk-contents-count", count);
        if (count) badge.append(make("span", "gk-contents-unseen", " answered"));
        button.append(badge);
        button.dataset.number = number;
        if (number === here.number) button.setAttribute("aria-current", "location");
        row.append(button);
        return row;
      });
      const list = make("ol", "");
      list.append(...rows);
      if (this.list.innerHTML === list.outerHTML) return;
      const focused = this.list.querySelector(":focus")?.dataset.number;
      this.list.replaceChildren(list);
      this.list.querySelector(`[data-number='${focused}']`)?.focus();
    }

    turn(open) {
      this.open = open;
      this.list.hidden = !open;
      this.look();
      this.show(open ? this.list.offsetHeight : 0);
    }

    choose(button) {
      if (!button) return;
      const { node } = this.sections[button.dataset.number];
      this.was = this.here();
      this.turn(false);
      requestAnimationFrame(() => {
        this.page.scrollBy(0, topOf(this.page, node) - 8);
        node.tabIndex = -1;
        node.focus({ preventScroll: true });
        this.offerBack();
      });
    }

    // Where one is, and was

    /* Returns the section at the top of the window and how far one is in it. */
    here() {
      const number = this.sections.findLastIndex(one => topOf(this.page, one.node) < 40);
      if (number < 0) return TOP;
      const { words, node } = this.sections[number];
      return { number, words, beyond: Math.round(-topOf(this.page, node)) };
    }

    remembered() {
      try {
        return JSON.parse(localStorage.getItem(this.kept));
      } catch {
        return null;
      }
    }

    moved() {
      if (!this.sections.length) return;
      const here = this.here();
      if (here !== TOP) localStorage.setItem(this.kept, JSON.stringify(here));
      this.look();
    }

    /* A lesson may have changed since. */
    isThere() {
      const { was, sections } = this;
      return was === TOP || (was !== null && sections[was.number]?.words === was.words);
    }

    offerBack() {
      const there = this.isThere();
      this.back.hidden = !there || this.here().number === this.was.number;
      const words = there ? `Back to ${this.was === TOP ? "the top" : `“${this.was.words}”`}` : "";
      if (this.back.textContent !== words) this.back.textContent = words;
    }

    goBack() {
      const to = this.was;
      this.was = this.here();
      this.turn(false);
      requestAnimationFrame(() => {
        if (to === TOP) this.page.scrollTo(0, 0);
        else this.page.scrollBy(0, topOf(this.page, this.sections[to.number].node) + to.beyond);
        this.offerBack();
        if (this.back.hidden) this.button.focus();
      });
    }
  }

  // Its place ----------------------------------------------------------------------------

  function inJupyterLab(panel) {
    const holder = new panel.contentHeader.constructor();
    const contents = new Contents(panel.content.node, panel.context.path, height => {
      holder.node.style.minHeight = `${height}px`;
      panel.contentHeader.fit();
    });
    holder.node.append(contents.list);
    panel.contentHeader.addWidget(holder);
    panel.toolbar.node.append(contents.bar);
    return contents;
  }

  function inClass(page) {
    // The notebook program's own frame takes what bar and list leave; it asks anew after a resize.
    const contents = new Contents(page, location.pathname.split("/").pop(), () => {
      window.dispatchEvent(new Event("resize"));
    });
    document.body.prepend(contents.bar, contents.list);
    return contents;
  }

  function contentsOf(app) {
    const found = [];
    const add = (page, build) => {
      if (!made.has(page)) made.set(page, build());
      found.push(made.get(page));
    };
    const page = document.getElementById("rendered_cells");
    if (page) add(page, () => inClass(page));
    else for (const panel of app.shell.widgets("main")) {
      if (panel.contentHeader && panel.content?.widgets && panel.context?.path) {
        add(panel.content.node, () => inJupyterLab(panel));
      }
    }
    return found;
  }

  // The trainer's notes ------------------------------------------------------------------

  const channel = new BroadcastChannel("geodesy-notes"); // from the start page to every other one
  let shown = null; // as the start page said last; before that as the page's Python has it

  function showNotes() {
    const start = document.querySelector(".gk-welcome");
    const now = document.querySelector(".gk-trainer") !== null;
    if (start && shown !== now) channel.postMessage(now);
    if (start || shown === null) shown = start ? now : null;
    for (const folded of document.querySelectorAll(".jp-RenderedMarkdown details")) {
      const words = folded.querySelector("summary")?.textContent.trim() ?? "";
      if (NOTES.test(words) && !folded.matches(".gk-notes")) folded.classList.add("gk-notes");
    }
    document.body.classList.toggle("gk-with-notes", shown ?? now);
  }

  channel.onmessage = event => {
    shown = event.data;
    showNotes();
  };

  // JupyterLab ---------------------------------------------------------------------------

  window._JUPYTERLAB ??= {};
  window._JUPYTERLAB["geodesy-contents"] = {
    init: () => {},
    get: async () => () => ({
      id: "geodesy-contents:contents",
      autoStart: true,
      activate: app => {
        const look = () => {
          nameTab();
          showNotes();
          for (const contents of contentsOf(app)) contents.look();
        };
        const soon = later(look);
        new MutationObserver(soon).observe(document.body, {
          childList: true, subtree: true, attributes: true, attributeFilter: ["class"],
        });
        new MutationObserver(nameTab).observe(document.head, {
          childList: true, subtree: true, characterData: true,
        });
        look();
      },
    }),
  };
})();
