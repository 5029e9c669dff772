// Comforts only: every page works without this file.
// An open sheet remembers its ticks and typed fields on this device until it is sent, and shares them with the other devices of the
// household while there is signal; hours get buttons for up and down.

/** Days after which an unsent sheet is forgotten. */
const keptDays = 30;
const prefix = 'sheet:';
/** Names the sheet that was sent last from this tab. */
const sentName = 'sheet-sent';

/** Pause after the last touch before it is told, and between two looks at what others touched, ms. */
const pauseMs = 2000;
const lookEveryMs = 30_000;
/** What comes back as touched so little later is this device's own word, told over a network that takes its time, ms. */
const slackMs = 1000;

/** `touched` says when a person touched a field here, or another device told of it.
 *  @typedef {{ at: number, fields: Record<string, string | boolean>, touched?: Record<string, number> }} Kept */
/** @typedef {{ field: string, value: string | boolean, agoMs: number }} Told */

/** @type {HTMLFormElement | null} */
const sheet = document.querySelector('form[data-sheet]');
// Only once its record is shown is a sheet safe: until then it may have been refused, or never have arrived.
if (location.pathname.startsWith('/records/')) forgetSent();
if (sheet !== null) rememberSheet(sheet);
if (sheet !== null) judgeSheet(sheet);
for (const field of document.querySelectorAll('input[data-stepper]')) {
  if (field instanceof HTMLInputElement) addStepper(field);
}

/** @param {HTMLFormElement} form */
function rememberSheet(form) {
  const name = prefix + (form.dataset.sheet ?? '');
  forgetOld();
  restore(form, name);
  shareSheet(form, name);
  form.addEventListener('input', (event) => keep(form, name, touchedBy(form, event.target)));
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

/** The fields that one touch changes: itself, and the other choices of its group.
 *  @param {HTMLFormElement} form
 *  @param {EventTarget | null} target
 *  @returns {string[]} */
function touchedBy(form, target) {
  return fieldsOf(form)
    .filter(
      (field) =>
        field === target ||
        (target instanceof HTMLInputElement && target.type === 'radio' && field.name === target.name),
    )
    .filter(isShared)
    .map(labelOf);
}

/** Who did it, and when, each device says for itself.
 *  @param {{ name: string }} field */
function isShared(field) {
  return !['day', 'by'].includes(field.name);
}

/** Tells what was touched here and takes over what was touched later elsewhere, while there is signal; without, nothing is lost.
 *  @param {HTMLFormElement} form
 *  @param {string} name */
function shareSheet(form, name) {
  let waiting = 0;
  let isFirst = true;
  /** What the service has from here already, by the time it was touched: told anew, a slow network would make it look younger.
   *  @type {Map<string, number>} */
  const known = new Map();
  const share = async () => {
    const { fields = {}, touched = {} } = read(name) ?? {};
    const now = Date.now();
    const ours = Object.entries(touched).flatMap(([field, at]) => {
      const value = fields[field];
      return value === undefined || known.get(field) === at ? [] : [{ field, value, agoMs: Math.max(0, now - at) }];
    });
    try {
      const body = new URLSearchParams({ touched: JSON.stringify(ours) });
      const answer = await fetch(`/visits/${form.dataset.sheet}/marks`, { method: 'POST', body, redirect: 'error' });
      if (!answer.ok) return;
      for (const { field } of ours) known.set(field, touched[field] ?? 0);
      const told = await answer.json();
      if (isFirst) forgetIfClosed(form, name, told.closedAgoMs);
      isFirst = false;
      takeOver(form, name, told.touched);
    } catch {
      // No signal: told with the next touch, or when it is back.
    }
  };
  form.addEventListener('input', () => {
    clearTimeout(waiting);
    waiting = setTimeout(share, pauseMs);
  });
  addEventListener('online', share);
  document.addEventListener('visibilitychange', share);
  setInterval(() => document.visibilityState === 'visible' && share(), lookEveryMs);
  share();
}

/** Says below each field how its value stands, once it is typed: the service judges, so without signal nothing is said.
 *  @param {HTMLFormElement} form */
function judgeSheet(form) {
  let latest = 0;
  const judge = async () => {
    latest += 1;
    const mine = latest;
    const body = new URLSearchParams();
    for (const [name, value] of new FormData(form)) if (typeof value === 'string') body.append(name, value);
    try {
      const answer = await fetch(`/visits/${form.dataset.sheet}/verdicts`, { method: 'POST', body, redirect: 'error' });
      if (!answer.ok || mine !== latest) return;
      const { said } = await answer.json();
      for (const line of verdictLines(form)) line.textContent = said[line.dataset.verdict ?? ''] ?? '';
    } catch {
      // No signal: it is judged when it is written down.
    }
  };
  // A verdict on another value than the one that stands there would mislead.
  form.addEventListener('input', (event) => {
    const { target } = event;
    if (!(target instanceof Element)) return;
    for (const line of target.closest('.place')?.querySelectorAll('[data-verdict]') ?? []) line.textContent = '';
  });
  form.addEventListener('change', (event) => {
    const { target } = event;
    if (target instanceof HTMLInputElement && /^(m|sound)[.]/.test(target.name)) judge();
  });
  if (fieldsOf(form).some((field) => isMeasured(field))) judge();
}

/** @param {HTMLFormElement} form
 *  @returns {NodeListOf<HTMLElement>} */
function verdictLines(form) {
  return form.querySelectorAll('[data-verdict]');
}

/** Whether a value stands in a field of the sheet's measurements.
 *  @param {HTMLInputElement | HTMLTextAreaElement | HTMLSelectElement} field */
function isMeasured(field) {
  return /^(m|sound)[.]/.test(field.name) && (isTick(field) ? field.checked : field.value !== '');
}

/** What was kept here before another device confirmed the sheet belongs to that record, not to what is left of the visit.
 *  @param {HTMLFormElement} form
 *  @param {string} name
 *  @param {number | null} closedAgoMs */
function forgetIfClosed(form, name, closedAgoMs) {
  const kept = read(name);
  if (closedAgoMs === null || kept === null || kept.at > Date.now() - closedAgoMs) return;
  forget(name);
  form.reset();
}

/** @param {HTMLFormElement} form
 *  @param {string} name
 *  @param {Told[]} told */
function takeOver(form, name, told) {
  const kept = read(name);
  const touched = { ...kept?.touched };
  const now = Date.now();
  const news = new Map(
    told.filter(({ field, agoMs }) => now - agoMs > (touched[field] ?? 0) + slackMs).map((one) => [one.field, one]),
  );
  // Where a person is typing this moment, their own word stands.
  const changed = fieldsOf(form).filter((field) => news.has(labelOf(field)) && field !== document.activeElement);
  for (const field of changed) {
    const one = news.get(labelOf(field));
    if (one === undefined || !isShared(field)) continue;
    touched[one.field] = now - one.agoMs;
    if (typeof one.value === 'boolean' && isTick(field)) field.checked = one.value;
    else if (typeof one.value === 'string' && !isTick(field)) field.value = one.value;
  }
  if (changed.length > 0) keep(form, name, [], touched);
}

/** @param {HTMLFormElement} form
 *  @param {string} name
 *  @param {string[]} touchedNow
 *  @param {Record<string, number>} [touchedBefore] */
function keep(form, name, touchedNow = [], touchedBefore = read(name)?.touched ?? {}) {
  /** @type {Record<string, string | boolean>} */
  const fields = {};
  for (const field of fieldsOf(form)) {
    // The day is that of the work, not that of the first tick.
    if (field.name === 'day') continue;
    if (isTick(field)) fields[labelOf(field)] = field.checked;
    else fields[labelOf(field)] = field.value;
  }
  try {
    const at = Date.now();
    const touched = { ...touchedBefore, ...Object.fromEntries(touchedNow.map((label) => [label, at])) };
    localStorage.setItem(name, JSON.stringify({ at, fields, touched }));
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
  field.addEventListener('input', () => touched(field));
  const step = Number(field.dataset.stepper);
  const frame = document.createElement('span');
  frame.className = 'stepper';
  field.replaceWith(frame);
  frame.append(stepButton('−', 'Less', -step, field), field, stepButton('+', 'More', step, field));
}

/** What a person typed or stepped to is theirs, even where it is what the page had filled in.
 *  @param {HTMLInputElement} field */
function touched(field) {
  const filled = field.form?.elements.namedItem('filled');
  if (filled instanceof HTMLInputElement) filled.value = '';
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
    touched(field);
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

// A browser brings the line that is written into view, not the box around it: on a small screen half of the box stays below the edge.
document.addEventListener('focusin', ({ target }) => {
  if (target instanceof HTMLTextAreaElement) target.scrollIntoView({ block: 'nearest' });
});
