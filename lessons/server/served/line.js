/*
The line of a page in a class to its Python, over however many connections.

Loaded before everything else: the widgets' program takes what stands here for the browser's own
WebSocket. It sees one connection that stays open. Below it, a connection that is cut is made
again; what was sent and not acknowledged is sent once more, and the server does the same. So a
Check that is pressed while the network is away is kept when it comes back, once.
lessons/server/line.py is the other end.

window.gkLine reports to the page: "state" when the line is open, cut or ended, "waiting" when
something is held back, "word" when the trainer says something to everybody.
*/

(() => {
  const Plain = window.WebSocket;
  const OURS = /^\/api\/kernels\/([0-9a-f-]+)\/channels$/;
  const ENDED = { 4001: "asleep", 4002: "stopped", 4003: "unseen", 4004: "out", 4005: "gone", 4006: "unlisted", 1008: "gone" };
  const QUIET = 10_000; // ms in which an open line should have brought a message
  const ANSWER = 5_000; // ms until an answer to "are you there" is given up
  const SLOW = 1_500; // ms after which something counts as held back
  const PAUSES = [0, 500, 1000, 2000, 3000]; // ms before each further attempt; the last one again

  const tell = window.gkLine = new EventTarget();
  tell.state = "opening";
  tell.waiting = false;
  tell.say = () => {};
  const event = (name, detail) => tell.dispatchEvent(new CustomEvent(name, { detail }));

  function set(name, value) {
    if (tell[name] === value) return;
    tell[name] = value;
    event(name, value);
  }

  class Line extends EventTarget {
    #protocols; #socket = null; #kernel;
    #outbox = []; #sent = 0; #had = 0; // sent and not acknowledged; sent in all; acknowledged
    #came = 0; #pending = null; // messages that came; the timer of their acknowledgement
    #received = 0; #asked = 0; #attempt = 0; #refused = 0; #watch;

    constructor(url, protocols, kernel) {
      super();
      this.url = String(url);
      this.#protocols = protocols;
      this.#kernel = kernel;
      this.readyState = Plain.CONNECTING;
      this.binaryType = "arraybuffer";
      this.protocol = "";
      tell.say = word => this.#word(word);
      this.#watch = setInterval(() => this.#look(), 1000);
      for (const name of ["online", "pageshow"]) addEventListener(name, () => this.#look(true));
      document.addEventListener("visibilitychange", () => this.#look(true));
      this.#connect();
    }

    send(message) {
      this.#outbox.push({ message, at: Date.now() });
      this.#sent += 1;
      if (tell.state === "open") this.#socket.send(message);
    }

    close() {
      this.#end(null);
      this.#fire("close", { code: 1000, reason: "", wasClean: true });
    }

    // Connections ------------------------------------------------------------------------

    #connect() {
      const url = new URL(this.url, location.href);
      url.searchParams.set("have", this.#came);
      const socket = this.#socket = new Plain(url, this.#protocols);
      socket.binaryType = "arraybuffer";
      this.#received = Date.now();
      this.#asked = 0;
      let joined = false;
      socket.onmessage = ({ data }) => {
        if (socket !== this.#socket) return;
        this.#received = Date.now();
        this.#asked = 0;
        if (typeof data !== "string") return this.#take(data);
        const word = JSON.parse(data);
        if (word.had !== undefined) this.#acknowledged(word.had);
        if (!joined && word.had !== undefined) {
          joined = true;
          this.#joined(socket);
        } else if (word.had === undefined) event("word", word);
      };
      socket.onclose = ({ code }) => {
        if (socket !== this.#socket) return;
        if (!joined) this.#refused += 1;
        this.#lost(code);
      };
    }

    #joined(socket) {
      this.#attempt = this.#refused = 0;
      this.protocol = socket.protocol;
      for (const one of this.#outbox) socket.send(one.message);
      set("state", "open");
      if (this.readyState === Plain.CONNECTING) {
        this.readyState = Plain.OPEN;
        this.#fire("open", {});
      }
      if (this.#at) this.#word(this.#at);
    }

    #lost(code) {
      this.#drop();
      if (code in ENDED) return this.#end(ENDED[code]);
      if (tell.leaving) return;
      set("state", this.readyState === Plain.OPEN ? "cut" : "opening");
      const pause = PAUSES[Math.min(this.#attempt, PAUSES.length - 1)];
      this.#attempt += 1;
      setTimeout(() => this.#again(), pause);
    }

    /* A refused connection does not say why; a question does. */
    async #again() {
      if (this.readyState === Plain.CLOSED || this.#socket) return;
      try {
        const answer = await fetch(`/api/kernels/${this.#kernel}`, {
          cache: "no-store", signal: AbortSignal.timeout(ANSWER),
        });
        if (this.#socket || this.readyState === Plain.CLOSED) return;
        if (answer.status === 403) return this.#end("out");
        if (answer.status === 404 || this.#refused > 2) return this.#end("unseen");
        this.#connect();
      } catch {
        this.#lost(1006);
      }
    }

    #drop() {
      const socket = this.#socket;
      this.#socket = null;
      if (!socket) return;
      socket.onmessage = socket.onclose = null;
      socket.close();
    }

    #end(state) {
      clearInterval(this.#watch);
      this.#drop();
      this.readyState = Plain.CLOSED;
      this.#look();
      if (state) set("state", state);
    }

    /* A network that drops everything says nothing: after a silence this end asks, then gives up. */
    #look(now = false) {
      const since = Date.now() - this.#received;
      const oldest = this.#outbox[0];
      set("waiting", oldest !== undefined && Date.now() - oldest.at > SLOW);
      if (!this.#socket) return;
      if (this.#asked && Date.now() - this.#asked > ANSWER) return this.#lost(1006);
      if (this.#socket.readyState === Plain.CONNECTING && since > QUIET) return this.#lost(1006);
      if (this.#asked || this.#socket.readyState !== Plain.OPEN) return;
      if (now || since > QUIET || (tell.waiting && since > 2 * SLOW)) {
        this.#asked = Date.now();
        this.#word({ there: 1 });
      }
    }

    // Messages ---------------------------------------------------------------------------

    #at = null;

    #word(word) {
      if ("at" in word) this.#at = word;
      if (this.#socket?.readyState === Plain.OPEN) this.#socket.send(JSON.stringify(word));
    }

    #take(data) {
      this.#came += 1;
      this.#pending ??= setTimeout(() => {
        this.#pending = null;
        this.#word({ have: this.#came });
      }, 250);
      this.#fire("message", { data });
    }

    #acknowledged(had) {
      while (this.#had < had && this.#outbox.length) {
        this.#outbox.shift();
        this.#had += 1;
      }
      if (!this.#outbox.length) set("waiting", false);
    }

    #fire(name, about) {
      const what = Object.assign(new Event(name), about);
      this["on" + name]?.(what);
      this.dispatchEvent(what);
    }
  }

  window.WebSocket = class extends Plain {
    constructor(url, protocols) {
      const found = OURS.exec(new URL(url, location.href).pathname);
      if (found) return new Line(url, protocols, found[1]);
      super(url, protocols);
    }
  };
  window.addEventListener("pagehide", () => { tell.leaving = true; });
  window.addEventListener("pageshow", () => { tell.leaving = false; });
})();
