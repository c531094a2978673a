/*
What is drawn in a picture is taken and dragged there: a triangle's corner, a place on a map.

A figure says in a hidden field of its own, in the field's placeholder, what can be taken: its name
and where it stands, as shares of the picture. What is dragged goes the same way to Python, in the
field's value; the widget holds back while a picture is being made and sends only the last.

- A disc is a thing of its own, an area a whole map or globe; a disc goes before an area.
- A finger on anything else scrolls the page as ever.
- Who uses keys has the sliders: nothing here is reached by Tab.
*/

(() => {
  const FIELD = ".gk-grips input";
  const REACH = 26; // points of the screen round a disc, for a finger

  let held = null; // {picture, field, name, pointer}
  let count = 0;

  const fieldOf = picture => picture.closest(".gk-figure")?.querySelector(FIELD);

  function gripsOf(picture) {
    try {
      return JSON.parse(fieldOf(picture)?.placeholder || "[]");
    } catch {
      return [];
    }
  }

  /* Where an event is on the picture, as shares of its width and height. */
  function placeOf(picture, event) {
    const box = picture.getBoundingClientRect();
    return [(event.clientX - box.left) / box.width, (event.clientY - box.top) / box.height];
  }

  function gripAt(picture, event) {
    const box = picture.getBoundingClientRect();
    const [x, y] = placeOf(picture, event);
    let nearest = null, distance = REACH, area = null;
    for (const grip of gripsOf(picture)) {
      if ("right" in grip) {
        if (x >= grip.x && x <= grip.right && y >= grip.y && y <= grip.bottom) area ??= grip;
        continue;
      }
      const away = Math.hypot((x - grip.x) * box.width, (y - grip.y) * box.height);
      if (away < distance) [nearest, distance] = [grip, away];
    }
    return nearest ?? area;
  }

  function send(phase, event) {
    const [x, y] = placeOf(held.picture, event).map(share => share.toFixed(4));
    held.field.value = `${++count} ${phase} ${held.name} ${x} ${y}`;
    held.field.dispatchEvent(new Event("input", { bubbles: true }));
  }

  function take(event) {
    const picture = event.target;
    if (!picture.matches?.("img.gk-picture") || event.button !== 0 || held) return;
    const grip = gripAt(picture, event);
    if (!grip) return;
    event.preventDefault();
    held = { picture, field: fieldOf(picture), name: grip.name, pointer: event.pointerId };
    picture.setPointerCapture(event.pointerId);
    picture.style.cursor = "grabbing";
    send("take", event);
  }

  function drag(event) {
    if (held?.pointer === event.pointerId) {
      send("drag", event);
    } else if (event.target.matches?.("img.gk-picture")) {
      event.target.style.cursor = gripAt(event.target, event) ? "grab" : "";
    }
  }

  function drop(event) {
    if (held?.pointer !== event.pointerId) return;
    held.picture.style.cursor = "";
    held = null;
  }

  /* A finger that takes hold does not scroll; that is decided before the page would begin to. */
  function keepStill(event) {
    const picture = event.target;
    if (event.touches.length !== 1 || !picture.matches?.("img.gk-picture")) return;
    if (gripAt(picture, event.touches[0])) event.preventDefault();
  }

  function begin() {
    document.addEventListener("pointerdown", take);
    document.addEventListener("pointermove", drag);
    document.addEventListener("pointerup", drop);
    document.addEventListener("pointercancel", drop);
    document.addEventListener("touchstart", keepStill, { passive: false });
    document.addEventListener("dragstart", event => {
      if (event.target.matches?.("img.gk-picture") && gripAt(event.target, event)) {
        event.preventDefault();
      }
    });
  }

  window._JUPYTERLAB ??= {};
  window._JUPYTERLAB["geodesy-grips"] = {
    init: () => {},
    get: async () => () => ({ id: "geodesy-grips:grips", autoStart: true, activate: begin }),
  };
})();
