/*
A page of the course runs when it is opened, in JupyterLab; in a class the server does that.

Only a notebook of the course does, as it was shipped: digests.json, which `python tests/tidy.py`
writes, holds a digest of each one's cells under its path. Whatever else is opened, or was changed,
waits for its button. With `python -m lessons --edit` this file is not loaded.

A page whose Python still runs, reloaded or opened in a second tab, is not run again: its widgets
live there, and what each cell showed is put back. It is run again where Python was restarted, or
where another person, decimal sign or site was chosen since.
*/

(() => {
  const BESIDE = document.currentScript.src;
  const digests = fetch(new URL("digests.json", BESIDE)).then(answer => answer.json()).catch(() => ({}));
  const seen = new WeakSet();
  const WIDGET = "application/vnd.jupyter.widget-view+json";
  const SHOWN = new Set([WIDGET, "text/markdown", "text/plain"]);
  const SETTLED = 1000; // milliseconds
  const STANDING = "start.standing()"; // every notebook of the course begins with `import start`

  // Which notebook ---------------------------------------------------------------------

  const cellsOf = panel => [...panel.context.model.cells];

  /* Made in the same way by tests/tidy.py. */
  async function digestOf(panel) {
    const sources = cellsOf(panel).map(cell => [cell.type, cell.sharedModel.getSource()]);
    const text = new TextEncoder().encode(JSON.stringify(sources));
    const digest = await crypto.subtle.digest("SHA-256", text);
    return [...new Uint8Array(digest)].map(one => one.toString(16).padStart(2, "0")).join("");
  }

  async function isOurs(panel) {
    if (!crypto.subtle) return false; // a page that is neither this machine's nor encrypted
    const shipped = (await digests)[panel.context.path];
    return shipped !== undefined && shipped.sha256 === await digestOf(panel);
  }

  // Python ------------------------------------------------------------------------------

  /* JupyterLab begins a page's Python when it has built the page. Asked for as soon as this file is
     here, it begins meanwhile, and JupyterLab finds it. */
  async function beginPython() {
    const path = decodeURIComponent(location.pathname).match(/\/tree\/(.+\.ipynb)$/)?.[1];
    if (!((await digests)[path])) return;
    const token = document.cookie.match(/(?:^|; )_xsrf=([^;]*)/)?.[1] ?? "";
    const name = path.split("/").pop();
    fetch(new URL("../../../api/sessions", BESIDE), {
      method: "POST",
      headers: { "Content-Type": "application/json", "X-XSRFToken": token },
      body: JSON.stringify({ path, name, type: "notebook", kernel: { name: "python3" } }),
    }).catch(() => {}); // JupyterLab asks again, and says why not
  }

  // What a run has shown ---------------------------------------------------------------

  const nameOf = panel => "geodesy-run:" + panel.context.path;
  const codeOf = panel => cellsOf(panel).filter(cell => cell.type === "code");

  /* Returns who, which decimal sign and which site a page would be run for, null where Python has
     not begun. Asked silently: nothing of it shows. */
  async function standing(kernel) {
    const asked = kernel.requestExecute({
      code: "", silent: true, store_history: false, user_expressions: { standing: STANDING },
    });
    const said = (await asked.done).content.user_expressions?.standing;
    return said?.status === "ok" ? said.data["text/plain"] : null;
  }

  async function remember(panel, kernel) {
    try {
      const stood = await standing(kernel); // answered when all that was to be run has run
      if (stood === null) return;
      const outputs = codeOf(panel).map(cell => cell.outputs.toJSON());
      localStorage.setItem(nameOf(panel), JSON.stringify({ kernel: kernel.id, stood, outputs }));
    } catch { /* Python ended meanwhile, or there is no room: the page will be run again */ }
  }

  /* The button may be pressed at any time, also while the page asks what is to be put back. The
     first cell was shipped without a number; a run gives it one. */
  function isPressed(panel) {
    const [first] = codeOf(panel);
    return first?.executionState === "running" || (first?.executionCount ?? null) !== null;
  }

  const widgetOf = output => output.data?.[WIDGET]?.model_id;
  const isKnown = output => output.output_type === "stream"
    || Object.keys(output.data ?? {}).every(kind => SHOWN.has(kind));

  /* Returns whether what the last run showed stands there again, or a new run has begun. */
  async function putBack(panel, kernel) {
    const run = JSON.parse(localStorage.getItem(nameOf(panel)));
    const code = codeOf(panel);
    if (run?.kernel !== kernel.id || run.outputs.length !== code.length) return false;
    const outputs = run.outputs.flat();
    if (!outputs.every(isKnown) || run.stood !== await standing(kernel)) return false;
    const alive = (await kernel.requestCommInfo({ target_name: "jupyter.widget" })).content.comms;
    if (!outputs.map(widgetOf).filter(Boolean).every(id => id in alive)) return false;
    if (isPressed(panel)) return true;
    code.forEach((cell, number) => {
      cell.trusted = true;
      cell.outputs.fromJSON(run.outputs[number]);
    });
    panel.node.dispatchEvent(new CustomEvent("gk-put-back", { bubbles: true }));
    return true;
  }

  // Opening ----------------------------------------------------------------------------

  async function open(panel, app) {
    seen.add(panel);
    const python = panel.context.sessionContext;
    let run = 0; // the wait until a run counts as done
    python.iopubMessage.connect((_, message) => {
      const own = python.session?.kernel?.clientId === message.parent_header.session;
      if (message.header.msg_type !== "execute_input" || !own) return;
      clearTimeout(run);
      run = setTimeout(() => remember(panel, python.session?.kernel), SETTLED);
    });
    await Promise.all([panel.context.ready, python.ready, panel.revealed]);
    if (!await isOurs(panel) || !python.session?.kernel) return;
    // Two tabs of one page share a Python: the second waits until the first has run.
    await navigator.locks.request(nameOf(panel), async () => {
      const kernel = python.session.kernel;
      const settled = isPressed(panel) || await putBack(panel, kernel).catch(() => false);
      if (settled || isPressed(panel)) return;
      await app.commands.execute("notebook:run-all-cells");
      await remember(panel, kernel);
    });
  }

  beginPython();
  window._JUPYTERLAB ??= {};
  window._JUPYTERLAB["geodesy-live"] = {
    init: () => {},
    get: async () => () => ({
      id: "geodesy-live:live",
      autoStart: true,
      activate: app => {
        const look = () => {
          for (const panel of app.shell.widgets("main")) {
            if (panel.context?.sessionContext && panel.content?.widgets && !seen.has(panel)) {
              open(panel, app);
            }
          }
        };
        app.shell.layoutModified?.connect(look);
        app.restored.then(look);
        look();
      },
    }),
  };
})();
