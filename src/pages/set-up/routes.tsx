import express, { type Request, type RequestHandler, type Router } from 'express';
import { dayOf } from '../../domain/day.js';
import type { Plain, ValueChange } from '../../domain/home-change.js';
import type { Machine } from '../../domain/machine.js';
import type { Task } from '../../domain/task.js';
import { pushDevices } from '../../ledger/push-devices.js';
import type { SetUp } from '../../ledger/set-up.js';
import { climateOf } from '../../outlook/climate.js';
import { sayClimate } from '../../words/climate.js';
import { sayMachine } from '../../words/machine.js';
import { sayTask } from '../../words/task.js';
import type { Assets } from '../assets.js';
import { pageFault } from '../errors.js';
import type { Given } from '../given.js';
import { readForm } from '../guard/form.js';
import { sendPage } from '../layout.js';
import { CopySheet } from './copy-sheet.js';
import { changesOf, type Field, valueAt } from './fields.js';
import { fileForm } from './file-form.js';
import { householdFields, mailFields, personFields } from './household-fields.js';
import { machineChanges, machineFields, suppliesChanges, suppliesFields, taskFields } from './machine-fields.js';
import { ChoosePlan, fileNameOf, newMachineForm } from './new-machine.js';
import { PasswordForm, SetUpPage } from './overview.js';

const householdFile = 'household.yaml';

/** Setting up without an editor: every form writes the same files that an editor would, and shows what it writes. */
export function setUpRoutes(given: Given, assets: Assets): Router {
  const router = express.Router();
  const { setUp } = given;
  // A service without a folder of its own, such as one that only shows, has nothing to set up.
  if (setUp === undefined) return router;

  router.get('/', (_request, response) => {
    const home = given.books.home();
    const climate = sayClimate(climateOf(home.household, given.facts(), todayOf(given)), home.household);
    sendPage(response, 200, <SetUpPage home={home} climate={climate} assets={assets} />);
  });
  both(
    router,
    '/household',
    fileForm(setUp, assets, () => householdForm(setUp, householdFields, 'The household', '/set-up/household')),
  );
  both(
    router,
    '/people/:index',
    fileForm<{ index: string }>(setUp, assets, (request) => personForm(setUp, request.params.index, given)),
  );
  both(
    router,
    '/mail',
    fileForm(setUp, assets, () => mailForm(setUp)),
  );
  router.post('/mail/password', (request, response) => {
    setUp.keepSecret('mail', readForm(request).text('password'));
    response.redirect(303, '/set-up/mail');
  });
  router.get('/new-machine', choosePlan(setUp, assets));
  const fresh = fileForm<Record<string, string>>(setUp, assets, (request) =>
    newMachineForm(setUp, todayOf(given), namesOf(request)),
  );
  router.get('/new-machine/:plan', fresh.show);
  router.post('/new-machine/:plan', fresh.take);
  both(
    router,
    '/machines/:id',
    fileForm<{ id: string }>(setUp, assets, (request) => machineForm(setUp, machineOf(given, request.params.id))),
  );
  both(
    router,
    '/machines/:id/tasks/:task',
    fileForm<{ id: string; task: string }>(setUp, assets, (request) => {
      const machine = machineOf(given, request.params.id);
      return taskForm(setUp, machine, taskOf(machine, request.params.task));
    }),
  );
  router.get('/machines/:id/copy', (request, response) => {
    const { units } = given.books.home().household;
    sendPage(response, 200, <CopySheet machine={machineOf(given, request.params.id)} units={units} assets={assets} />);
  });
  return router;
}

function both<P>(
  router: Router,
  path: string,
  { show, take }: { show: RequestHandler<P>; take: RequestHandler<P> },
): void {
  router.get(path, show as unknown as RequestHandler);
  router.post(path, take as unknown as RequestHandler);
}

function householdForm(setUp: SetUp, fields: readonly Field[], title: string, action: string) {
  const current = fileOf(setUp, householdFile);
  return {
    title,
    action,
    file: householdFile,
    current,
    fields,
    changes: (form: Parameters<typeof changesOf>[1]) => changesOf(fields, form, current.values),
    next: '/set-up',
  };
}

function mailForm(setUp: SetUp) {
  const form = householdForm(setUp, mailFields, 'The mail server', '/set-up/mail');
  return {
    ...form,
    intro: (
      <>
        <p class="second">
          Messages go by mail once a server is named; until then they are files and stand under Notices.
        </p>
        <PasswordForm />
      </>
    ),
    // The password that was kept above, and no other file of this computer.
    changes: (sent: Parameters<typeof changesOf>[1]) => {
      const changes = form.changes(sent);
      const held = setUp.heldSecret('mail');
      const smtp = valueAt(form.current.values ?? undefined, ['smtp']);
      const hasOne = ['passwordFile', 'passwordEnv'].some((key) => valueAt(smtp, [key]) !== undefined);
      if (held === null || hasOne || sent.text('user') === '') return changes;
      return [...changes, { path: ['smtp', 'passwordFile'], value: held }];
    },
    remove: { text: 'No mail server', changes: [{ path: ['smtp'], value: undefined }] },
  };
}

function personForm(setUp: SetUp, which: string, given: Given) {
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
  const fields = personFields(index, {
    hasServer: valueAt(current.values ?? undefined, ['smtp']) !== undefined,
    hasBroker: valueAt(current.values ?? undefined, ['mqtt']) !== undefined,
    hasDevice: pushDevices(given.books).some(({ person }) => person === id),
  });
  return {
    ...householdForm(setUp, fields, isNew ? 'Another person' : String(name ?? 'A person'), `/set-up/people/${which}`),
    // A new person is one entry of the list, not one line after the other.
    changes: (form: Parameters<typeof changesOf>[1]) => {
      const changes = changesOf(fields, form, current.values);
      if (!isNew) return changes;
      return [{ path: ['people', index], value: entryOf(changes) }];
    },
    ...(isNew
      ? {}
      : { remove: { text: 'Take this person out', changes: [{ path: ['people', index], value: undefined }] } }),
  };
}

/** One entry of a list of what was filled in; what stands in a map of its own, such as the ways, in that. */
function entryOf(changes: readonly ValueChange[]): Plain {
  const entry: Record<string, Plain> = {};
  for (const { path, value } of changes) {
    const [, , key, inner] = path.map(String);
    if (key === undefined) continue;
    if (inner === undefined) entry[key] = value ?? '';
    else entry[key] = { ...(isPlainMap(entry[key]) ? entry[key] : {}), [inner]: value ?? '' };
  }
  return entry;
}

function isPlainMap(value: Plain | undefined): value is { readonly [key: string]: Plain } {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

function machineForm(setUp: SetUp, machine: Machine) {
  const file = `machines/${machine.id}.yaml`;
  const current = fileOf(setUp, file);
  const fittings = setUp.plans.find((plan) => plan.id === machine.planId)?.fittings ?? machine.has;
  const fields = machineFields(fittings, current.values);
  return {
    title: machine.name,
    intro: (
      <>
        <p class="second">
          Intervals, part numbers and quantities stand with each job below. The machine’s own manual counts.
        </p>
        <p>
          <a class="way" href={`/set-up/machines/${machine.id}/copy`}>
            A sheet to print: what to copy from your manual and filters
          </a>
        </p>
      </>
    ),
    action: `/set-up/machines/${machine.id}`,
    file,
    current,
    fields,
    changes: (form: Parameters<typeof changesOf>[1]) => machineChanges(fields, form, current.values),
    remove: { text: 'It is sold or scrapped', changes: [{ path: ['gone'], value: true }] },
    below: (
      <section>
        <h2>Its jobs</h2>
        <ul class="ways">
          {machine.tasks.map((task) => (
            <li>
              <a class="way" href={`/set-up/machines/${machine.id}/tasks/${task.id}`}>
                {sayTask(task.id, machine)}
              </a>
              {machine.never[task.id] === undefined ? null : <span class="small">retired</span>}
            </li>
          ))}
        </ul>
      </section>
    ),
    next: `/set-up/machines/${machine.id}`,
  };
}

function taskForm(setUp: SetUp, machine: Machine, task: Task) {
  const file = `machines/${machine.id}.yaml`;
  const current = fileOf(setUp, file);
  const fields = taskFields(task);
  return {
    title: sayTask(task.id, machine),
    intro: (
      <p class="second">
        On {sayMachine(machine)}: what is shown comes from the plan ({task.source}) or from this machine’s file; your
        manual counts.
      </p>
    ),
    action: `/set-up/machines/${machine.id}/tasks/${task.id}`,
    file,
    current,
    fields: [...fields, ...suppliesFields(task)],
    changes: (form: Parameters<typeof changesOf>[1]) => [
      ...changesOf(fields, form, current.values),
      ...suppliesChanges(task, form, current.values),
    ],
    next: `/set-up/machines/${machine.id}`,
  };
}

function choosePlan(setUp: SetUp, assets: Assets): RequestHandler {
  return (request, response) => {
    const { name, plan } = request.query;
    if (typeof name === 'string' && typeof plan === 'string' && fileNameOf(name) !== null) {
      const which = setUp.plans.findIndex(({ id }) => id === plan);
      if (which >= 0)
        return response.redirect(303, `/set-up/new-machine/${which}?name=${encodeURIComponent(name.trim())}`);
    }
    const wrong = typeof name === 'string' ? 'Give it a name of letters and digits, and choose a plan.' : null;
    sendPage(response, wrong === null ? 200 : 400, <ChoosePlan plans={setUp.plans} wrong={wrong} assets={assets} />);
  };
}

function namesOf(request: Request<Record<string, string>>): { readonly plan: string; readonly name: string } {
  const name = request.method === 'POST' ? readForm(request as unknown as Request).text('name') : request.query.name;
  return { plan: String(request.params.plan), name: typeof name === 'string' ? name.trim() : '' };
}

function todayOf({ books }: Given) {
  return dayOf(books.clock.nowMs(), books.home().household.zone);
}

function fileOf(setUp: SetUp, file: string) {
  const read = setUp.read(file);
  if (read === null || read.values === null) {
    throw pageFault({
      code: 'file-unsound',
      message: `${file} cannot be read as it stands`,
      remedy: 'shedbell check says what is wrong in it; mend it in an editor.',
    });
  }
  return read;
}

function machineOf(given: Given, id: string): Machine {
  const machine = given.books.home().machines.find((one) => one.id === id);
  if (machine !== undefined) return machine;
  throw pageFault({
    code: 'machine-unknown',
    message: 'No machine of that name is set up',
    remedy: 'The page for setting up lists them.',
  });
}

function taskOf(machine: Machine, id: string): Task {
  const task = machine.tasks.find((one) => one.id === id);
  if (task !== undefined) return task;
  throw pageFault({
    code: 'task-unknown',
    message: `${machine.name} has no such task`,
    remedy: 'Its page lists them.',
  });
}
