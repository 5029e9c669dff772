import { Fault } from '../../domain/fault.js';
import type { HomeFile } from '../../domain/home-change.js';
import { pushDevices } from '../../ledger/push-devices.js';
import type { SetUp } from '../../ledger/set-up.js';
import { pageFault } from '../errors.js';
import type { Given } from '../given.js';
import type { Form } from '../guard/form.js';
import { brokerFields } from './broker-fields.js';
import { changesOf, type Edit, type Field, valueAt } from './fields.js';
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
    changes: (sent) => withPassword(setUp, form, { secret: 'mail', key: 'smtp' }, sent),
    remove: { text: 'No mail server', changes: [{ path: ['smtp'], value: undefined }] },
  };
}

/** The broker of the run-time sensors, with the password of the account there. */
export function brokerForm(setUp: SetUp): FileForm {
  const fields = brokerFields(setUp.heldSecret('broker') !== null);
  const form = householdForm(setUp, fields, 'The broker', '/set-up/broker');
  const isSet = valueAt(form.current.values ?? undefined, ['mqtt']) !== undefined;
  return {
    ...form,
    intro: (
      <p class="second">
        Sensors that count run time speak over it, by MQTT. Which sensor belongs to a machine stands with the machine.
      </p>
    ),
    changes: (sent) => withPassword(setUp, form, { secret: 'broker', key: 'mqtt' }, sent),
    ...(isSet ? { remove: { text: 'No broker', changes: [{ path: ['mqtt'], value: undefined }] } } : {}),
  };
}

/** What a form about an account changes, with the password that was typed or is kept. */
function withPassword(
  setUp: SetUp,
  form: FileForm & { readonly current: HomeFile },
  { secret, key }: { readonly secret: 'mail' | 'broker'; readonly key: 'smtp' | 'mqtt' },
  sent: Form,
): readonly Edit[] {
  const changes = form.changes(sent);
  keepPassword(setUp, secret, sent);
  // The password that was kept here, and no other file of this computer.
  const held = setUp.heldSecret(secret);
  const account = valueAt(form.current.values ?? undefined, [key]);
  const hasOne = ['passwordFile', 'passwordEnv'].some((one) => valueAt(account, [one]) !== undefined);
  if (sent.text('user') === '') {
    // A password without its user name would be refused.
    const rest = ['passwordFile', 'passwordEnv'].map((one) => ({ path: [key, one], value: undefined, fields: [] }));
    return hasOne ? [...changes, ...rest] : changes;
  }
  if (held === null || hasOne) return changes;
  return [...changes, { path: [key, 'passwordFile'], value: held, fields: [] }];
}

/** @throws Fault password-without-user, and those of keepSecret, which name the field */
function keepPassword(setUp: SetUp, secret: 'mail' | 'broker', sent: Form): void {
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
    setUp.keepSecret(secret, password);
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
