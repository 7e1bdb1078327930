// ---- What was typed and not sent: it stays on this screen when the person goes to another page and comes back.

const TYPED = "clingfish-typed";
const OF_FORM = new Set(["key", "step", "record", "cup", "part", "act"]);

function typedBefore() {
  try {
    return JSON.parse(sessionStorage.getItem(TYPED)) || {};
  } catch {
    return {};
  }
}

// A form, whatever page it stands on now.
const aboutOf = (form) => [form.getAttribute("action"), ...[...form.elements].filter((e) => e.type === "hidden" && OF_FORM.has(e.name)).map((e) => e.value)].join("\n");

// A field by its form and what that is about; none for what is looked for, chosen, or secret.
function placeOf(field) {
  const form = field.form;
  if (!field.name || !form || !form.matches("form[method=post][data-in-place], form[method=post][data-keep]")) return null;
  if (!field.matches("input:not([type=hidden]):not([type=file]):not([type=checkbox]):not([type=radio]):not([type=password]), textarea")) return null;
  return `${aboutOf(form)}\n${field.name}`;
}

function noteTyped(field) {
  const place = placeOf(field);
  if (!place) return;
  const all = typedBefore();
  if (field.value === field.defaultValue) delete all[place];
  else all[place] = field.value;
  try {
    sessionStorage.setItem(TYPED, JSON.stringify(all));
  } catch {
    // No room, or not allowed: it stays in the field as long as the page does.
  }
}

// Sent: it is no draft any more.
function wasSent(form) {
  const all = typedBefore();
  const places = [...form.elements].map(placeOf).filter((p) => p && p in all);
  if (places.length === 0) return;
  for (const place of places) delete all[place];
  sessionStorage.setItem(TYPED, JSON.stringify(all));
}

function putTyped() {
  const all = typedBefore();
  for (const field of document.querySelectorAll("form[method=post] input, form[method=post] textarea")) {
    const place = placeOf(field);
    if (!place || !(place in all) || field.value !== field.defaultValue || field.value === all[place]) continue;
    field.value = all[place];
    const note = document.createElement("p");
    note.className = "echo";
    note.setAttribute("role", "status");
    note.textContent = "Typed here before, not saved yet.";
    (field.closest(".typed, label") || field).after(note);
  }
}

addEventListener("input", (e) => {
  if (e.target instanceof HTMLInputElement || e.target instanceof HTMLTextAreaElement) noteTyped(e.target);
});

addEventListener("submit", (e) => wasSent(e.target));
