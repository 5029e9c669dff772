import type { Request, RequestHandler, Response } from 'express';
import type { ComponentChildren } from 'preact';
import { Fault } from '../../domain/fault.js';
import type { FileChange, HomeFile, Proposal, ValueChange } from '../../domain/home-change.js';
import type { SetUp } from '../../ledger/set-up.js';
import type { Assets } from '../assets.js';
import { type Form, newFormKey, readForm } from '../guard/form.js';
import { Page, sendPage } from '../layout.js';
import { KeyField } from '../pieces.js';
import { type Field, shownOf } from './fields.js';
import { Fields, Proposed } from './form-view.js';

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
  readonly changes: (form: Form) => readonly ValueChange[];
  /** A button that takes the thing out, and what it is called. */
  readonly remove?: { readonly text: string; readonly changes: readonly ValueChange[] };
  readonly below?: ComponentChildren;
  /** Where a browser goes once it is written. */
  readonly next: string;
}

/** Shows the form on GET; on POST shows what it would write, or writes it. */
export function fileForm<P>(
  setUp: SetUp,
  assets: Assets,
  make: (request: Request<P>) => FileForm,
): { readonly show: RequestHandler<P>; readonly take: RequestHandler<P> } {
  return {
    show: (request, response) => {
      const form = make(request);
      send(response, 200, form, assets, null, null);
    },
    take: (request, response) => {
      const form = make(request);
      const typed = readForm(request as unknown as Request);
      const isWriting = typed.text('step') === 'write';
      const change = changeOrFault(form, typed);
      const proposal: Proposal =
        change instanceof Fault
          ? { kind: 'refused', fault: change }
          : isWriting
            ? setUp.write(change)
            : setUp.propose(change);
      const isRight = proposal.kind === 'proposal' && proposal.faults.length === 0;
      if (isWriting && isRight) return response.redirect(303, form.next);
      send(response, isRight ? 200 : 400, form, assets, typed, proposal);
    },
  };
}

/** What the answers of a form contradict is said on the form itself, with all that was typed. */
function changeOrFault(form: FileForm, typed: Form): FileChange | Fault {
  try {
    return changeOf(form, typed);
  } catch (failure) {
    if (failure instanceof Fault) return failure;
    throw failure;
  }
}

function changeOf(form: FileForm, typed: Form): FileChange {
  const values = typed.has('remove') ? (form.remove?.changes ?? []) : form.changes(typed);
  if (form.current === null) return { kind: 'new', file: form.file, text: form.opening ?? '', values };
  return { kind: 'change', file: form.file, base: typed.text('base'), values };
}

function send(
  response: Response,
  status: number,
  form: FileForm,
  assets: Assets,
  typed: Form | null,
  proposal: Proposal | null,
): void {
  sendPage(response, status, <FileFormPage form={form} typed={typed} proposal={proposal} assets={assets} />);
}

interface FileFormProps {
  readonly form: FileForm;
  readonly typed: Form | null;
  readonly proposal: Proposal | null;
  readonly assets: Assets;
}

function FileFormPage({ form, typed, proposal, assets }: FileFormProps) {
  const shown = (field: Field) => {
    if (typed === null || typed.has('remove')) return shownOf(field, form.current?.values ?? null);
    return field.kind === 'several' ? typed.all(field.name) : [typed.text(field.name)];
  };
  return (
    <Page title={form.title} assets={assets}>
      <h1>{form.title}</h1>
      {form.intro}
      {proposal === null || typed === null ? null : <Proposed proposal={proposal} form={typed} action={form.action} />}
      <form method="post" action={form.action}>
        <KeyField value={newFormKey()} />
        {form.current === null ? null : <input type="hidden" name="base" value={form.current.mark} />}
        <Fields fields={form.fields} shown={shown} />
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
      <p>
        <a class="way" href="/set-up">
          Setting up
        </a>
      </p>
    </Page>
  );
}
