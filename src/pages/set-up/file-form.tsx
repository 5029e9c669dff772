import { createHash } from 'node:crypto';
import type { Request, RequestHandler, Response } from 'express';
import type { ComponentChildren } from 'preact';
import { Fault } from '../../domain/fault.js';
import type { FileChange, HomeFile, Proposal, ValueChange, WrongValue } from '../../domain/home-change.js';
import type { SetUp } from '../../ledger/set-up.js';
import type { Assets } from '../assets.js';
import { type Form, newFormKey, readForm } from '../guard/form.js';
import { Page, sendPage, type Way } from '../layout.js';
import { KeyField } from '../pieces.js';
import { type Edit, type Field, linesIn, shownOf } from './fields.js';
import { Fields, Proposed, type Wrong } from './form-view.js';
import { wrongField } from './wrong-field.js';

/** A form that changes one file of the home folder, in two steps: what it would write, then the writing. */
export interface FileForm {
  readonly title: string;
  readonly intro?: ComponentChildren;
  /** Where the form is sent. */
  readonly action: string;
  readonly file: string;
  /** Null: the file is made by this form. */
  readonly current: HomeFile | null;
  /** What a new file begins with. */
  readonly opening?: string;
  readonly fields: readonly Field[];
  readonly changes: (form: Form) => readonly Edit[];
  /** A button that takes the thing out, and what it is called. */
  readonly remove?: { readonly text: string; readonly changes: readonly ValueChange[] };
  readonly below?: ComponentChildren;
  /** The page that this one belongs to; absent: the one for setting up. */
  readonly up?: Way;
  /** Where a browser goes once it is written. */
  readonly next: string;
}

/** The page that lists all there is to set up. */
export const settingUp: Way = { href: '/set-up', text: 'Setting up' };

/** Shows the form on GET; on POST shows what it would write, or writes it. */
export function fileForm<P>(
  setUp: SetUp,
  assets: Assets,
  make: (request: Request<P>) => FileForm,
): { readonly show: RequestHandler<P>; readonly take: RequestHandler<P> } {
  const written = lastWritten();
  return {
    show: (request, response) => {
      const form = make(request);
      send(response, 200, form, assets, null);
    },
    take: (request, response) => {
      const typed = readForm(request as unknown as Request);
      const isWriting = typed.text('step') === 'write';
      const sent = isWriting ? markOf(request.originalUrl, typed) : '';
      // A button tapped twice: it stands in the file since the first tap.
      const next = written.get(sent);
      if (next !== undefined) return response.redirect(303, next);
      const form = make(request);
      const { edits, proposal } = proposed(form, typed, isWriting ? setUp.write : setUp.propose);
      const isRight = proposal.kind === 'proposal' && proposal.faults.length === 0;
      if (isWriting && isRight) {
        written.add(sent, form.next);
        return response.redirect(303, form.next);
      }
      send(response, isRight ? 200 : 400, form, assets, { form: typed, edits, proposal });
    },
  };
}

/** A form with all that stands in it, the key of its page and the text of the file that it was made from. */
function markOf(url: string, form: Form): string {
  return createHash('sha256')
    .update(JSON.stringify([url, form.key, form.entries()]))
    .digest('hex');
}

/** The forms that were written last, and where each led: sent once more, they lead there again. */
function lastWritten() {
  const mostKept = 50;
  const kept = new Map<string, string>();
  return {
    get: (mark: string) => kept.get(mark),
    add(mark: string, next: string): void {
      kept.set(mark, next);
      const [oldest] = kept.keys();
      if (kept.size > mostKept && oldest !== undefined) kept.delete(oldest);
    },
  };
}

/** What a sent form asks for, and what would come of it. */
interface Sent {
  readonly form: Form;
  readonly edits: readonly Edit[];
  readonly proposal: Proposal;
}

/** What the answers of a form contradict is said on the form itself, with all that was typed. */
function proposed(form: FileForm, typed: Form, ask: SetUp['propose']): Omit<Sent, 'form'> {
  try {
    const edits = typed.has('remove') ? [] : form.changes(typed);
    const values = typed.has('remove') ? (form.remove?.changes ?? []) : edits;
    return { edits, proposal: ask(changeOf(form, typed, values)) };
  } catch (failure) {
    if (failure instanceof Fault) return { edits: [], proposal: { kind: 'refused', fault: failure } };
    throw failure;
  }
}

function changeOf(form: FileForm, typed: Form, values: readonly ValueChange[]): FileChange {
  if (form.current === null) return { kind: 'new', file: form.file, text: form.opening ?? '', values };
  return { kind: 'change', file: form.file, base: typed.text('base'), values };
}

function send(response: Response, status: number, form: FileForm, assets: Assets, sent: Sent | null): void {
  sendPage(response, status, <FileFormPage form={form} sent={sent} assets={assets} />);
}

/** Everything that is wrong, each with the field that it is about. */
function wrongOf({ fields }: FileForm, { form, edits, proposal }: Sent): readonly Wrong[] {
  const faults: readonly WrongValue[] =
    proposal.kind === 'refused' ? [{ fault: proposal.fault, path: [] }] : proposal.faults;
  return faults.map((wrong) => ({ fault: wrong.fault, field: wrongField(wrong, { fields, edits, form }) }));
}

interface FileFormProps {
  readonly form: FileForm;
  readonly sent: Sent | null;
  readonly assets: Assets;
}

function FileFormPage({ form, sent, assets }: FileFormProps) {
  const typed = sent?.form ?? null;
  const shown = (field: Field) => {
    if (field.kind === 'password') return [];
    if (typed === null || typed.has('remove')) return shownOf(field, form.current?.values ?? null);
    if (field.kind === 'lines') return linesIn(typed.text(field.name));
    return field.kind === 'several' ? typed.all(field.name) : [typed.text(field.name)];
  };
  const wrong = sent === null ? [] : wrongOf(form, sent);
  const isOutdated = sent?.proposal.kind === 'refused' && sent.proposal.fault.code === 'file-changed';
  const secrets = form.fields.filter(({ kind }) => kind === 'password').map(({ name }) => name);
  return (
    <Page title={form.title} up={form.up ?? settingUp} assets={assets}>
      <h1>{form.title}</h1>
      {form.intro}
      {sent === null ? null : (
        <Proposed proposal={sent.proposal} wrong={wrong} form={sent.form} secrets={secrets} action={form.action} />
      )}
      {isOutdated ? (
        <p>
          <a class="way" href={form.action}>
            Open it as the file is now
          </a>
        </p>
      ) : null}
      <form method="post" action={form.action}>
        <KeyField value={newFormKey()} />
        {form.current === null ? null : (
          // What was typed belongs to the file as it was then: sent once more it would undo what changed meanwhile.
          <input type="hidden" name="base" value={isOutdated ? typed?.text('base') : form.current.mark} />
        )}
        <Fields fields={form.fields} shown={shown} wrong={wrong} />
        <button class="act main" type="submit">
          Show what it writes
        </button>
        {form.remove === undefined ? null : (
          <button class="act" type="submit" name="remove" value="yes" formnovalidate>
            {form.remove.text}
          </button>
        )}
      </form>
      {form.below}
    </Page>
  );
}
