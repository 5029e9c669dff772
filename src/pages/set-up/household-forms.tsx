import { Fault } from '../../domain/fault.js';
import type { HomeFile } from '../../domain/home-change.js';
import { pushDevices } from '../../ledger/push-devices.js';
import type { SetUp } from '../../ledger/set-up.js';
import { pageFault } from '../errors.js';
import type { Given } from '../given.js';
import type { Form } from '../guard/form.js';
import { changesOf, type Field, valueAt } from './fields.js';
import type { FileForm } from './file-form.js';
import { fileOf } from './file-of.js';
import { mailFields, personFields } from './household-fields.js';

const householdFile = 'household.yaml';

/** A form over the household's file. */
export function householdForm(
  setUp: SetUp,
  fields: readonly Field[],
  title: string,
  action: string,
): FileForm & { readonly current: HomeFile } {
  const current = fileOf(setUp, householdFile);
  return {
    title,
    action,
    file: householdFile,
    current,
    fields,
    changes: (form: Form) => changesOf(fields, form, current.values),
    next: '/set-up',
  };
}

/** The mail server, and the password of the account there, which goes into a file of its own. */
export function mailForm(setUp: SetUp): FileForm {
  const form = householdForm(setUp, mailFields(setUp.heldSecret('mail') !== null), 'The mail server', '/set-up/mail');
  return {
    ...form,
    intro: (
      <p class="second">
        Messages go by mail once a server is named; until then they are files and stand under Notices.
      </p>
    ),
    changes: (sent) => {
      const changes = form.changes(sent);
      keepPassword(setUp, sent);
      // The password that was kept here, and no other file of this computer.
      const held = setUp.heldSecret('mail');
      const smtp = valueAt(form.current.values ?? undefined, ['smtp']);
      const hasOne = ['passwordFile', 'passwordEnv'].some((key) => valueAt(smtp, [key]) !== undefined);
      if (sent.text('user') === '') {
        // A password without its user name would be refused.
        const rest = ['passwordFile', 'passwordEnv'].map((key) => ({
          path: ['smtp', key],
          value: undefined,
          fields: [],
        }));
        return hasOne ? [...changes, ...rest] : changes;
      }
      if (held === null || hasOne) return changes;
      return [...changes, { path: ['smtp', 'passwordFile'], value: held, fields: [] }];
    },
    remove: { text: 'No mail server', changes: [{ path: ['smtp'], value: undefined }] },
  };
}

/** @throws Fault password-without-user, and those of keepSecret, which name the field */
function keepPassword(setUp: SetUp, sent: Form): void {
  const password = sent.text('password');
  if (password === '') return;
  if (sent.text('user') === '') {
    throw pageFault({
      code: 'password-without-user',
      message: 'A password without a user name is of no use, so it was not kept',
      place: 'user',
      remedy: 'Write the user name, and the password once more.',
    });
  }
  try {
    setUp.keepSecret('mail', password);
  } catch (failure) {
    if (!(failure instanceof Fault)) throw failure;
    const { code, message, remedy, cause } = failure;
    throw new Fault({ code, message, place: 'password', remedy, cause });
  }
}

/** One person, or a new one.
 *  @throws Fault person-unknown */
export function personForm(setUp: SetUp, which: string, given: Given): FileForm {
  const current = fileOf(setUp, householdFile);
  const people = valueAt(current.values ?? undefined, ['people']);
  const count = Array.isArray(people) ? people.length : 0;
  const index = which === 'new' ? count : /^\d{1,3}$/.test(which) ? Number(which) : -1;
  if (index < 0 || index > count || (index === count && which !== 'new')) {
    throw pageFault({
      code: 'person-unknown',
      message: 'There is no such person',
      remedy: 'The page for setting up lists them.',
    });
  }
  const isNew = index === count;
  const name = valueAt(current.values ?? undefined, ['people', index, 'name']);
  const id = valueAt(current.values ?? undefined, ['people', index, 'id']);
  const fields = personFields(index, isNew, {
    hasServer: valueAt(current.values ?? undefined, ['smtp']) !== undefined,
    hasBroker: valueAt(current.values ?? undefined, ['mqtt']) !== undefined,
    hasDevice: pushDevices(given.books).some(({ person }) => person === id),
  });
  return {
    ...householdForm(setUp, fields, isNew ? 'Another person' : String(name ?? 'A person'), `/set-up/people/${which}`),
    ...(isNew
      ? {}
      : { remove: { text: 'Take this person out', changes: [{ path: ['people', index], value: undefined }] } }),
  };
}
