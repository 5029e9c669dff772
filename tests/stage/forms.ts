/** A form as a browser without scripts would send it: where to, and the fields with what they hold. */
export interface Form {
  readonly action: string;
  readonly fields: readonly (readonly [string, string])[];
}

/** The form of a page that has a field of that name. */
export function formOf(html: string, field: string): Form {
  for (const [form = ''] of html.matchAll(/<form[\s\S]*?<\/form>/g)) {
    const fields: [string, string][] = [];
    for (const [input] of form.matchAll(/<input[^>]*>/g)) {
      const name = attribute(input, 'name');
      const type = attribute(input, 'type') ?? 'text';
      if (name === null || type === 'submit') continue;
      if ((type === 'checkbox' || type === 'radio') && !/\schecked(\s|=|>|\/)/.test(input)) continue;
      fields.push([name, attribute(input, 'value') ?? (type === 'checkbox' ? 'on' : '')]);
    }
    for (const [, open = '', text = ''] of form.matchAll(/<textarea([^>]*)>([\s\S]*?)<\/textarea>/g)) {
      fields.push([attribute(open, 'name') ?? '', plain(text)]);
    }
    for (const [, open = '', options = ''] of form.matchAll(/<select([^>]*)>([\s\S]*?)<\/select>/g)) {
      const chosen = /<option[^>]*\sselected[^>]*>/.exec(options)?.[0] ?? /<option[^>]*>/.exec(options)?.[0] ?? '';
      fields.push([attribute(open, 'name') ?? '', attribute(chosen, 'value') ?? '']);
    }
    // Enter in a field presses the first button.
    const button = /<button[^>]*\sname=[^>]*>/.exec(form)?.[0];
    if (button !== undefined) fields.push([attribute(button, 'name') ?? '', attribute(button, 'value') ?? '']);
    if (fields.some(([name]) => name === field)) {
      return { action: attribute(form, 'action') ?? '', fields: fields.filter(([name]) => name !== '') };
    }
  }
  throw new Error(`no form with a field ${field} on the page`);
}

/** Sends the form from the site itself, with some fields filled in otherwise. */
export function sendForm(site: string, form: Form, filled: Readonly<Record<string, string>>): Promise<Response> {
  const body = new URLSearchParams();
  for (const [name, value] of form.fields) body.append(name, filled[name] ?? value);
  for (const [name, value] of Object.entries(filled)) if (!body.has(name)) body.append(name, value);
  return fetch(new URL(form.action, site), { method: 'POST', body, headers: { origin: site }, redirect: 'manual' });
}

function attribute(tag: string, name: string): string | null {
  const value = new RegExp(`\\s${name}="([^"]*)"`).exec(tag)?.[1];
  return value === undefined ? null : plain(value);
}

function plain(text: string): string {
  return text.replaceAll('&quot;', '"').replaceAll('&lt;', '<').replaceAll('&gt;', '>').replaceAll('&amp;', '&');
}
