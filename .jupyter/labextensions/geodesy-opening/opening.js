/*
How a page takes on the widgets of a Python that runs already: always in a class, and in JupyterLab
after a reload.

The widgets' own program gives Python four seconds to send all widgets, then asks for them one by
one; on a busy computer a page was left without any figure or question by that. And what Python
said about a widget while it was being built was lost: a picture drawn in that moment never came,
and a widget that named another one was "not found". Here the page waits as long as its connection
lasts, and whatever is said meanwhile is kept until the widget can hear it.

The program may ask twice, where a page connects before it is ready. Two that waited side by side would
let go what the other one keeps: only one waits.
*/

(() => {
  const PROGRAM = "@jupyter-widgets/jupyterlab-manager";
  const ENDED = ["restarting", "autorestarting", "dead"];
  const CUT = ["connecting", "disconnected"]; // what was asked on the old connection is lost
  const waits = new WeakSet(); // for which managers a page waits

  /* Keep what comes for a widget until the widget listens, then hand it over in its order. */
  function hold(comm) {
    const listen = comm.on_msg.bind(comm);
    let held = [];
    listen(message => { held.push(message); });
    comm.on_msg = act => {
      listen(message => held ? void held.push(message) : act(message));
      queueMicrotask(() => {
        const every = held;
        held = null;
        every.forEach(act);
      });
    };
    return comm;
  }

  const namedBy = state => JSON.stringify(state).matchAll(/"IPY_MODEL_([^"]+)"/g);

  /* A widget made before the answer stands in the answer too, and so do those that it names. */
  function holdOpened(manager) {
    const waiting = new Map(), build = manager.handle_comm_open;
    manager.handle_comm_open = async (comm, message) => {
      const named = [...namedBy(message.content.data.state)];
      if (named.every(([, id]) => manager.has_model(id))) return build.call(manager, comm, message);
      return void waiting.set(comm.comm_id, { comm: hold(comm), message });
    };
    return {
      take(id) {
        const found = waiting.get(id);
        waiting.delete(id);
        return found?.comm;
      },
      goOn() {
        delete manager.handle_comm_open;
        for (const { comm, message } of waiting.values()) manager.handle_comm_open(comm, message);
        waiting.clear();
      },
    };
  }

  function putBuffers(states, paths, buffers) {
    paths.forEach((path, n) => {
      const buffer = buffers[n], last = path[path.length - 1];
      const place = path.slice(0, -1).reduce((where, name) => where[name], states);
      place[last] = buffer instanceof DataView ? buffer : new DataView(buffer.buffer ?? buffer);
    });
  }

  /* Know every widget of the answer before anything else is heard; return them being built. */
  async function begin(manager, message, opened) {
    const { states, buffer_paths: paths } = message.content.data;
    putBuffers(states, paths, message.buffers ?? []);
    const comms = await Promise.all(Object.keys(states).map(async id => {
      if (manager.has_model(id)) return null;
      return opened.take(id) ?? hold(await manager._create_comm("jupyter.widget", id));
    }));
    const built = Object.entries(states).map(([id, one], n) => {
      const { model_name, model_module, model_module_version, state } = one;
      if (!comms[n]) return renew(manager, id, state);
      const about = { model_name, model_module, model_module_version, model_id: id, comm: comms[n] };
      return manager.new_model(about, state);
    });
    opened.goOn();
    return built.map(one => one.catch(console.error));
  }

  async function renew(manager, id, state) {
    const model = await manager.get_model(id);
    model.set_state(await model.constructor._deserialize_state(state, manager));
  }

  async function takeOn() {
    const opened = holdOpened(this), kernel = this.kernel;
    const id = crypto.getRandomValues(new Uint32Array(4)).join("-");
    const control = await this._create_comm("jupyter.widget.control", id, {}, { version: "1.0.0" });
    let ended;
    try {
      const built = await new Promise((done, failed) => {
        ended = (_, status) => {
          if (ENDED.includes(status) || CUT.includes(status)) failed(new Error(status));
        };
        kernel.statusChanged.connect(ended);
        kernel.connectionStatusChanged.connect(ended);
        control.on_close(() => done([])); // a Python that has run nothing knows of no widgets
        control.on_msg(message => {
          if (message.content.data.method !== "update_states") return undefined;
          return begin(this, message, opened).then(done, failed);
        });
        control.send({ method: "request_states" }, {});
      });
      await Promise.all(built);
    } finally {
      kernel.statusChanged.disconnect(ended);
      kernel.connectionStatusChanged.disconnect(ended);
      opened.goOn();
      control.close();
    }
  }

  /* Where this fails, the program says nothing: the one that waits already will. */
  async function takeOnOnce() {
    if (waits.has(this)) throw new Error("already waiting for these widgets");
    waits.add(this);
    try {
      await takeOn.call(this);
    } finally {
      waits.delete(this);
    }
  }

  function newest(versions) {
    const numbers = version => version.split(/[.-]/).map(one => parseInt(one, 10) || 0);
    const later = (a, b) => numbers(a).map((n, i) => n - (numbers(b)[i] ?? 0)).find(Boolean) ?? 0;
    return Object.keys(versions).sort(later).pop();
  }

  /* Other versions of the program may name its parts otherwise: they stay as they are. */
  async function improve(programs) {
    const versions = programs?.[PROGRAM] ?? {};
    const version = newest(versions);
    if (!version) return;
    const { KernelWidgetManager } = (await versions[version].get())();
    let one = KernelWidgetManager.prototype;
    while (one && !Object.hasOwn(one, "_loadFromKernelModels")) one = Object.getPrototypeOf(one);
    if (one) one._loadFromKernel = takeOnOnce;
  }

  let programs;
  window._JUPYTERLAB ??= {};
  window._JUPYTERLAB["geodesy-opening"] = {
    init: shared => { programs = shared; },
    get: async () => {
      await improve(programs).catch(console.error);
      return () => ({ id: "geodesy-opening:opening", autoStart: true, activate: () => {} });
    },
  };
})();
