/*
What a screen reader says of the page's fields, sliders, lists and pictures.

The widgets show a tooltip to a mouse and have no names: somebody using a screen reader would meet "edit"
and "slider". So each is named here, by the words that stand beside it or by those of its tooltip,
and a tooltip whose words became a name is taken away.

- A question's list or buttons are named by the question.
- A slider says its number as its field writes it, with the unit: while it moves, as its own hidden
  readout has it, and when Python has answered, as the field stands.
- A picture is named by its title and described by the readout below it.
*/

(() => {
  const FIELDS = ".widget-text input, .widget-textarea textarea, .widget-dropdown select, "
    + ".widget-select select, .widget-radio-box, .widget-toggle-buttons > div, .noUi-handle";
  const PICTURES = "img.gk-picture";
  const BELOW = "img.gk-below";
  const HIDDEN = ".gk-grips"; // for programs alone
  const ROWS = ".gk-control, .gk-entry, .gk-hand, .gk-signing, .gk-line, .gk-step-row";
  const SETTLED = 80; // ms without a change of the page

  const text = one => one?.textContent.replace(/\s+/g, " ").trim() ?? "";

  let count = 0;
  function idOf(one) {
    one.id ||= `gk-name-${++count}`;
    return one.id;
  }

  function nameBy(field, ...words) {
    field.setAttribute("aria-labelledby", words.map(idOf).join(" "));
  }

  // Fields ------------------------------------------------------------------------------

  function questionOf(field) {
    if (field.closest(".gk-card")) return field.closest(".gk-card").querySelector(".gk-question");
    if (!field.matches(".widget-radio-box")) return null;
    return field.closest(".gk-box")?.querySelector(".gk-prompt");
  }

  /* The tooltip stands on the field or, of a slider, round it. */
  function tooltipOf(field) {
    const bearer = field.closest(".jupyter-widgets");
    for (const one of [field, bearer]) {
      if (one?.title) {
        const words = one.title.replace(/[\s,]+$/, "");
        one.removeAttribute("title");
        return words;
      }
    }
    return "";
  }

  function nameField(field) {
    const question = questionOf(field), tooltip = tooltipOf(field);
    const label = field.closest(ROWS)?.querySelector(".gk-label");
    if (field.matches("div:not(.noUi-handle)")) {
      field.setAttribute("role", field.matches(".widget-radio-box") ? "radiogroup" : "group");
    }
    if (question) nameBy(field, question);
    else if (tooltip) field.setAttribute("aria-label", tooltip);
    else if (label) nameBy(field, label);
    else if (field.placeholder) field.setAttribute("aria-label", field.placeholder);
    else return;
    field.dataset.named = "";
    const mark = field.closest(".gk-entry")?.querySelector(".gk-mark");
    if (mark) field.setAttribute("aria-describedby", idOf(mark));
    if (field.matches(".noUi-handle")) sayNumber(field);
  }

  // Sliders -----------------------------------------------------------------------------

  const unitOf = control => text(control?.querySelector(".gk-label span"))
    .replace(/^latitude, longitude /, "").split(",")[0].replace(/ \+$/, "");

  /* Without the space in its thousands, which some voices take for a new number. */
  function said(number, unit) {
    const plain = number.replace(/(\d)[\s\u202f](?=\d{3})/g, "$1");
    return plain + (/^[°′″]/.test(unit) || !unit ? "" : " ") + unit;
  }

  /* The readout's number with the figures and the decimal sign that the field has. */
  function written(readout, pattern) {
    const number = Number(readout.replace("−", "-"));
    const [, sign, figures] = pattern.match(/([.,])(\d+)$/) ?? [null, ".", ""];
    return number.toFixed(figures.length).replace("-", "−").replace(".", sign);
  }

  /* One that changes nothing says why in the place of its number, and keys go past it. */
  function sayIdle(handle, control) {
    handle.setAttribute("aria-disabled", "true");
    handle.setAttribute("aria-valuetext", text(control.querySelector(".gk-label span")));
    handle.tabIndex = -1;
  }

  function sayNumber(handle, moving) {
    const control = handle.closest(".gk-control");
    if (control?.closest(".gk-idle")) return sayIdle(handle, control);
    if (handle.hasAttribute("aria-disabled")) {
      handle.removeAttribute("aria-disabled");
      handle.tabIndex = 0;
    }
    const field = control?.querySelector(".gk-number input");
    const readout = text(handle.closest(".widget-slider")?.querySelector(".widget-readout"));
    const number = moving || !field?.value ? written(readout, field?.value ?? "") : field.value;
    const words = said(number, unitOf(control));
    if (number && handle.getAttribute("aria-valuetext") !== words) {
      handle.setAttribute("aria-valuetext", words);
    }
  }

  // Pictures ----------------------------------------------------------------------------

  function namePicture(picture) {
    const readout = picture.closest(".gk-figure")?.querySelector(".gk-readout");
    if (!readout) return;
    const title = readout.querySelector("[data-picture]")?.dataset.picture;
    picture.alt = title ? `Picture: ${title}` : "Picture, not drawn";
    picture.setAttribute("aria-describedby", idOf(readout));
    for (const handle of picture.closest(".gk-figure").querySelectorAll(".noUi-handle")) {
      sayNumber(handle);
    }
  }

  // When --------------------------------------------------------------------------------

  function nameAll() {
    for (const field of document.querySelectorAll(FIELDS)) {
      if (field.closest(HIDDEN)) continue;
      if (!("named" in field.dataset) || field.title) nameField(field);
    }
    document.querySelectorAll(PICTURES).forEach(namePicture);
    for (const below of document.querySelectorAll(BELOW)) below.alt = ""; // the picture has the name
  }

  let waiting = 0;
  function soon() {
    clearTimeout(waiting);
    waiting = setTimeout(nameAll, SETTLED);
  }

  function begin() {
    new MutationObserver(soon).observe(document.body, {
      attributes: true, attributeFilter: ["src", "title"], childList: true, subtree: true,
    });
    /* The slider writes a bare number at each step; what is said must stand before it is read. */
    new MutationObserver(changes => {
      for (const { target, oldValue } of changes) {
        const now = target.getAttribute("aria-valuetext");
        if (now !== oldValue && /^-?[\d.e+-]+$/.test(now)) sayNumber(target, true);
      }
    }).observe(document.body, {
      attributes: true, attributeFilter: ["aria-valuetext"], attributeOldValue: true, subtree: true,
    });
    nameAll();
  }

  window._JUPYTERLAB ??= {};
  window._JUPYTERLAB["geodesy-names"] = {
    init: () => {},
    get: async () => () => ({ id: "geodesy-names:names", autoStart: true, activate: begin }),
  };
})();
