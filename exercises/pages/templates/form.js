"use strict";
// Keeps what is typed in this browser, and saves it as one small file. Sends nothing anywhere.
const page = document.querySelector("main");
const place = `${page.dataset.paper} ${page.dataset.number}`;
const fields = [...page.querySelectorAll("[data-question], [data-who]")];
const state = document.getElementById("state");
let keeps = true;

function typed() {
  const answers = {};
  for (const field of fields) {
    if (!field.dataset.question || (field.type === "radio" && !field.checked)) continue;
    (answers[field.dataset.question] ??= {})[field.dataset.part] = field.value;
  }
  const sign = page.querySelector("[data-who=decimal]:checked");
  return {
    paper: page.dataset.paper,
    number: page.dataset.number,
    code: page.querySelector("[data-who=code]").value,
    decimal: sign ? sign.value : null,
    answers,
  };
}

function open() {
  const questions = [...new Set(fields.map((field) => field.dataset.question).filter(Boolean))];
  const answers = typed().answers;
  return questions.filter((one) => !Object.values(answers[one] ?? {}).some((t) => t.trim()));
}

function tell(words) {
  const left = open();
  const rest = left.length ? `Not answered yet: ${left.join(", ")}.` : "Every question is answered.";
  state.textContent = `${rest} ${words}`;
}

function keep(under = place) {
  try {
    localStorage.setItem(under, JSON.stringify(typed()));
  } catch {
    keeps = false;
  }
  tell(keeps ? "What you typed is kept in this browser; it is not handed in yet."
    : "This browser keeps nothing: do not close the page before you have saved your answers.");
}

function restore() {
  let held = null;
  try {
    held = JSON.parse(localStorage.getItem(place));
  } catch {
    keeps = false;
  }
  for (const field of held ? fields : []) {
    const value = field.dataset.question
      ? held.answers?.[field.dataset.question]?.[field.dataset.part]
      : held[field.dataset.who];
    if (typeof value !== "string") continue;
    if (field.type === "radio") field.checked = field.value === value;
    else field.value = value;
  }
  keep(`${place} opened`); // where nothing was found, nothing is written over
}

function missing() {
  if (!page.querySelector("[data-who=code]").value.trim()) return "Type your code first.";
  if (!page.querySelector("[data-who=decimal]:checked")) return "Say first whether you write a point or a comma.";
  return "";
}

function save() {
  const trouble = missing();
  if (trouble) {
    tell(trouble);
    return;
  }
  const now = new Date();
  const held = { ...typed(), saved: now.toISOString() };
  const link = document.createElement("a");
  link.download = `paper-${page.dataset.number}.json`;
  link.href = URL.createObjectURL(new Blob([JSON.stringify(held)], { type: "application/json" }));
  link.click();
  const clock = now.toTimeString().slice(0, 8);
  tell(`Saved ${clock} as ${link.download}: hand this file in. Saving again makes a newer one.`);
}

page.addEventListener("input", () => keep());
document.getElementById("save").addEventListener("click", save);
restore();
