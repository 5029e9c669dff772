// Comforts only: every page works without this file.
// An open sheet remembers its ticks and typed fields on this device until it is sent; hours get buttons for up and down.

/** Days after which an unsent sheet is forgotten. */
const keptDays = 30;
const prefix = 'sheet:';
/** Names the sheet that was sent last from this tab. */
const sentName = 'sheet-sent';

/** @typedef {{ at: number, fields: Record<string, string | boolean> }} Kept */

/** @type {HTMLFormElement | null} */
const sheet = document.querySelector('form[data-sheet]');
// Only once its record is shown is a sheet safe: until then it may have been refused, or never have arrived.
if (location.pathname.startsWith('/records/')) forgetSent();
if (sheet !== null) rememberSheet(sheet);
for (const field of document.querySelectorAll('input[data-stepper]')) {
  if (field instanceof HTMLInputElement) addStepper(field);
}

/** @param {HTMLFormElement} form */
function rememberSheet(form) {
  const name = prefix + (form.dataset.sheet ?? '');
  forgetOld();
  restore(form, name);
  form.addEventListener('input', () => keep(form, name));
  form.addEventListener('submit', (event) => {
    const { submitter } = event;
    keep(form, name);
    if (submitter instanceof HTMLButtonElement && submitter.value === 'look') return;
    try {
      sessionStorage.setItem(sentName, name);
    } catch {
      // Then it is remembered until it is too old.
    }
  });
}

/** @param {HTMLFormElement} form
 *  @param {string} name */
function keep(form, name) {
  /** @type {Record<string, string | boolean>} */
  const fields = {};
  for (const field of fieldsOf(form)) {
    // The day is that of the work, not that of the first tick.
    if (field.name === 'day') continue;
    if (isTick(field)) fields[labelOf(field)] = field.checked;
    else fields[labelOf(field)] = field.value;
  }
  try {
    localStorage.setItem(name, JSON.stringify({ at: Date.now(), fields }));
  } catch {
    // A full or forbidden storage: the sheet itself still works.
  }
}

/** @param {HTMLFormElement} form
 *  @param {string} name */
function restore(form, name) {
  const kept = read(name);
  if (kept === null) return;
  for (const field of fieldsOf(form)) {
    const value = kept.fields[labelOf(field)];
    if (typeof value === 'boolean' && isTick(field)) field.checked = value;
    else if (typeof value === 'string' && !isTick(field) && value !== '') field.value = value;
  }
}

/** @param {string} name
 *  @returns {Kept | null} */
function read(name) {
  try {
    const kept = JSON.parse(localStorage.getItem(name) ?? 'null');
    return kept !== null && typeof kept === 'object' && typeof kept.fields === 'object' ? kept : null;
  } catch {
    return null;
  }
}

/** @param {string} name */
function forget(name) {
  try {
    localStorage.removeItem(name);
  } catch {
    // Nothing was kept then.
  }
}

function forgetSent() {
  try {
    const name = sessionStorage.getItem(sentName);
    if (name !== null) forget(name);
    sessionStorage.removeItem(sentName);
  } catch {
    // Nothing was kept then.
  }
}

function forgetOld() {
  try {
    for (const name of Object.keys(localStorage)) {
      const kept = name.startsWith(prefix) ? read(name) : null;
      if (kept !== null && Date.now() - kept.at > keptDays * 86_400_000) forget(name);
    }
  } catch {
    // No storage, nothing to forget.
  }
}

/** @param {HTMLFormElement} form
 *  @returns {(HTMLInputElement | HTMLTextAreaElement | HTMLSelectElement)[]} */
function fieldsOf(form) {
  return [...form.elements].filter(
    /** @returns {field is HTMLInputElement | HTMLTextAreaElement | HTMLSelectElement} */
    (field) =>
      (field instanceof HTMLInputElement && field.type !== 'hidden') ||
      field instanceof HTMLTextAreaElement ||
      field instanceof HTMLSelectElement,
  );
}

/** @param {Element} field
 *  @returns {field is HTMLInputElement} */
function isTick(field) {
  return field instanceof HTMLInputElement && (field.type === 'checkbox' || field.type === 'radio');
}

/** @param {HTMLInputElement | HTMLTextAreaElement | HTMLSelectElement} field */
function labelOf(field) {
  return isTick(field) ? `${field.name}#${field.id === '' ? field.value : field.id}` : field.name;
}

/** @param {HTMLInputElement} field */
function addStepper(field) {
  field.addEventListener('focus', () => field.select());
  const step = Number(field.dataset.stepper);
  const frame = document.createElement('span');
  frame.className = 'stepper';
  field.replaceWith(frame);
  frame.append(stepButton('−', 'Less', -step, field), field, stepButton('+', 'More', step, field));
}

/** @param {string} sign
 *  @param {string} label
 *  @param {number} change
 *  @param {HTMLInputElement} field */
function stepButton(sign, label, change, field) {
  const button = document.createElement('button');
  button.type = 'button';
  button.textContent = sign;
  button.setAttribute('aria-label', label);
  button.addEventListener('click', () => {
    // An empty field starts at the estimate: the first press shows it, and only a press puts it there.
    const isEmpty = field.value.trim() === '';
    if (isEmpty && field.dataset.from !== undefined) {
      field.value = field.dataset.from;
      return;
    }
    const hours = Number(field.value.replace(',', '.'));
    if (Number.isFinite(hours)) field.value = String(Math.max(0, Math.round((hours + change) * 10) / 10));
  });
  return button;
}
