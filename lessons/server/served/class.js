/*
What a page says in a class only: whether its line to Python holds, what waits to be sent, what the
trainer says to everybody; and where its reader is, for the trainer's desk. line.js is the line
itself; page.js does what a page does in a class and in JupyterLab alike.
*/

(() => {
  const line = window.gkLine;
  const CUT = "The connection is interrupted. What you press is sent by itself when it is back; what "
    + "you kept stays kept.";
  const BACK = "Reload";
  const STAYS = " What you kept stays kept, and what you typed comes back.";
  const ENDED = {
    asleep: ["This page sleeps: you have opened others since.", "Wake this page"],
    unseen: ["This page sleeps: nobody has looked at it for a while, or the class was started again.", "Wake this page"],
    stopped: ["This page's Python has stopped.", BACK],
    gone: ["This page was cut off for too long.", BACK],
    out: ["You are signed out.", "Sign in"],
    unlisted: ["You are no longer in this class's list. Speak to your trainer.", "Sign in"],
  };
  const UNSENT = " What you pressed last was not sent: press it again then.";
  const NOT_SENT = "Not sent yet: the connection is interrupted. It is sent by itself when it is back.";
  const LOST = "Not sent. Press it again when this page is back.";

  function element(name, className, text = "") {
    return Object.assign(document.createElement(name), { className, textContent: text });
  }

  // The line ---------------------------------------------------------------------------

  let words = null;

  function say(text, button = "") {
    if (!words) {
      words = element("p", "gk-line");
      words.setAttribute("role", "alert");
      document.body.append(words);
    }
    words.replaceChildren(text);
    if (!button) return;
    const again = element("button", "", button);
    again.addEventListener("click", () => location.reload());
    words.append(" ", again);
  }

  function sayState() {
    const [text, button] = ENDED[line.state] ?? [];
    if (text) say(text + STAYS + (pressed.size ? UNSENT : ""), button);
    else if (line.state === "cut") say(CUT);
    else if (words) say("");
  }

  // What waits -------------------------------------------------------------------------

  /* A button that was pressed while nothing could be sent says so where it was pressed. */
  const pressed = new Set();

  function notePress(event) {
    const box = event.target.closest?.(".gk-box");
    const presses = event.type === "click" ? event.target.closest("button") : event.key === "Enter";
    if (!box || !presses || (line.state === "open" && !line.waiting)) return;
    pressed.add(box);
    sayWaiting();
  }

  function sayWaiting() {
    const sent = line.state === "open" && !line.waiting;
    for (const box of pressed) {
      let note = box.querySelector(":scope > .gk-not-sent");
      if (sent) {
        note?.remove();
        pressed.delete(box);
        continue;
      }
      if (!note) {
        note = element("p", "gk-not-sent");
        note.setAttribute("role", "status");
        box.append(note);
      }
      note.textContent = line.state in ENDED ? LOST : NOT_SENT;
    }
  }

  /* Pressed on a network that drops everything: it is known only some moments later. */
  let last = null;
  function remember(event) {
    const box = event.target.closest?.(".gk-box");
    if (box && (event.key === "Enter" || event.target.closest("button"))) last = box;
    notePress(event);
  }

  line.addEventListener("state", () => { sayWaiting(); sayState(); });
  line.addEventListener("waiting", () => {
    if (line.waiting && last) pressed.add(last);
    if (!line.waiting) last = null;
    sayWaiting();
  });

  // The trainer ------------------------------------------------------------------------

  const seen = notice => [notice.time, notice.by, notice.text, notice.page, notice.section].join("\n");

  function notice(name, about) {
    const strip = document.querySelector(".gk-notices")
      ?? document.body.insertBefore(element("aside", "gk-notices"), document.body.firstChild);
    strip.setAttribute("aria-label", "From your trainer");
    strip.querySelector(`.gk-${name}`)?.remove();
    const hidden = about && sessionStorage.getItem(`gk-hidden-${name}`) === seen(about);
    if (about && !hidden) {
      const one = element("p", `gk-notice gk-${name}`);
      one.setAttribute("role", "status");
      one.append(name === "look" ? linkTo(about) : element("span", "gk-said", about.text));
      one.append(element("small", "", [about.by, about.time].filter(Boolean).join(", ")));
      const away = element("button", "", "×");
      away.setAttribute("aria-label", "Put this away");
      away.addEventListener("click", () => {
        sessionStorage.setItem(`gk-hidden-${name}`, seen(about));
        one.remove();
        fit(strip);
      });
      one.append(away);
      strip.append(one);
    }
    fit(strip);
  }

  function linkTo({ text, page, section }) {
    const link = element("a", "gk-said", `Look at this page: ${text}${section ? `, ${section}` : ""}`);
    link.href = `/${page}.ipynb${section ? `#${encodeURIComponent(section)}` : ""}`;
    link.target = "geodesy-" + page;
    link.addEventListener("click", event => {
      if (location.pathname !== `/${page}.ipynb`) return;
      event.preventDefault();
      if (section) goTo(section);
    });
    return link;
  }

  /* The strip takes its height from the page, so that it covers nothing. */
  function fit(strip) {
    document.body.style.setProperty("--gk-notices", `${strip.offsetHeight}px`);
  }

  function goTo(section) {
    const headings = [...document.querySelectorAll(".jp-RenderedMarkdown :is(h1, h2, h3)")];
    const found = headings.find(one => one.textContent.replace(/¶$/, "").trim() === section);
    found?.scrollIntoView();
    return found;
  }

  /* Figures above a heading arrive after it: it is brought back until they are there, or until the
     reader moves. */
  function goToAddress() {
    if (location.hash.length < 2) return;
    let section;
    try { section = decodeURIComponent(location.hash.slice(1)); } catch { return; }
    let until = Infinity;
    const again = setInterval(() => {
      if (Date.now() > until) clearInterval(again);
      else if (goTo(section)) until = Math.min(until, Date.now() + 12_000);
    }, 500);
    for (const name of ["wheel", "touchstart", "keydown", "mousedown"]) {
      addEventListener(name, () => clearInterval(again), { once: true, capture: true });
    }
  }

  line.addEventListener("word", ({ detail }) => {
    for (const name of ["look", "message"]) {
      if (name in detail) notice(name, detail[name]);
    }
  });

  // Where the reader is ----------------------------------------------------------------

  const BOX = ".gk-box[class*='gk-box-']";
  let at = "";

  function whereIsIt() {
    if (document.hidden) return;
    const middle = innerHeight / 2;
    const boxes = [...document.querySelectorAll(BOX)].map(box => [box, box.getBoundingClientRect()]);
    const typing = document.activeElement?.closest?.(BOX);
    const found = typing ?? boxes.find(([, r]) => r.height && r.top < middle && r.bottom > middle)?.[0];
    const key = [...found?.classList ?? []].find(one => one.startsWith("gk-box-"))?.slice(7) ?? "";
    if (key && key !== at) line.say({ at: at = key });
  }

  document.addEventListener("DOMContentLoaded", () => {
    /* page.js sets large type on a notebook's panel; here that is what scrolls. */
    document.getElementById("rendered_cells")?.classList.add("jp-NotebookPanel");
    goToAddress();
    sayState();
  });
  document.addEventListener("click", remember, true);
  document.addEventListener("keydown", remember, true);
  setInterval(whereIsIt, 2000);
})();
