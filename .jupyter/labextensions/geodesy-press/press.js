/*
A button that is pressed, or Enter, takes along what was typed before.

The widgets' own program sends the first letter typed into a field, and holds back those that follow
until Python has answered. A press it sends at once. So in a room where Python was slow, Check
reached it before the last letters did, and half a number was marked. Here what is held back goes
first.
*/

(() => {
  const PROGRAM = "@jupyter-widgets/base";
  const holding = new Set(); // widgets with letters that are held back

  function sendHeld() {
    for (const model of holding) {
      const held = model._msg_buffer, about = model._msg_buffer_callbacks;
      if (held === null || !model.comm_live) continue; // sent meanwhile, or the widget is gone
      model._msg_buffer = model._msg_buffer_callbacks = null;
      model.rememberLastUpdateFor(model.send_sync_message(held, about));
      model._pending_msgs++;
    }
    holding.clear();
  }

  /* Other versions of the program may name its parts otherwise: they stay as they are. */
  function improve(model) {
    const { sync, send, send_sync_message, rememberLastUpdateFor } = model;
    if (!(sync && send && send_sync_message && rememberLastUpdateFor)) return;
    model.sync = function (...about) {
      const made = sync.apply(this, about);
      if (this._msg_buffer) holding.add(this);
      return made;
    };
    model.send = function (...about) {
      sendHeld();
      return send.apply(this, about);
    };
  }

  let programs;
  window._JUPYTERLAB ??= {};
  window._JUPYTERLAB["geodesy-press"] = {
    init: shared => { programs = shared; },
    get: async () => {
      for (const version of Object.values(programs?.[PROGRAM] ?? {})) {
        const program = await Promise.resolve(version.get()).catch(console.error);
        if (program) improve(program().WidgetModel.prototype);
      }
      return () => ({ id: "geodesy-press:press", autoStart: true, activate: () => {} });
    },
  };
})();
