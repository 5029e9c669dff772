import express, { type Request, type RequestHandler, type Router } from 'express';
import { dayOf } from '../../domain/day.js';
import type { Machine } from '../../domain/machine.js';
import type { SetUp } from '../../ledger/set-up.js';
import { climateOf } from '../../outlook/climate.js';
import { forTheCold } from '../../outlook/for-the-cold.js';
import { sayClimate } from '../../words/climate.js';
import type { Assets } from '../assets.js';
import { pageFault } from '../errors.js';
import type { Given } from '../given.js';
import { readForm } from '../guard/form.js';
import { sendPage } from '../layout.js';
import { showMachine } from '../shown.js';
import { addForm } from './add-to-task.js';
import { CopySheet } from './copy-sheet.js';
import { fileForm } from './file-form.js';
import { householdFields } from './household-fields.js';
import { brokerForm, householdForm, mailForm, personForm } from './household-forms.js';
import { machineForm, retiredForm, sensorForm, taskForm, workForm } from './machine-forms.js';
import { ChoosePlan, fileNameOf, newMachineForm } from './new-machine.js';
import { SetUpPage } from './overview.js';

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
  both(
    router,
    '/broker',
    fileForm(setUp, assets, () => brokerForm(setUp)),
  );
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
    '/machines/:id/sensor',
    fileForm<{ id: string }>(setUp, assets, (request) => sensorForm(setUp, showMachine(given, request.params.id))),
  );
  both(
    router,
    '/machines/:id/tasks/:task/steps',
    fileForm<{ id: string; task: string }>(setUp, assets, (request) => {
      const machine = machineOf(given, request.params.id);
      return workForm(setUp, machine, taskOf(machine, request.params.task));
    }),
  );
  both(
    router,
    '/machines/:id/tasks/:task',
    fileForm<{ id: string; task: string }>(setUp, assets, (request) => {
      const machine = machineOf(given, request.params.id);
      const { task } = request.params;
      if (Object.hasOwn(machine.never, task)) return retiredForm(setUp, machine, task);
      return taskForm(setUp, machine, taskOf(machine, task));
    }),
  );
  both(
    router,
    '/machines/:id/tasks/:task/add/:what',
    fileForm<{ id: string; task: string; what: string }>(setUp, assets, (request) => {
      const machine = machineOf(given, request.params.id);
      const named = request.method === 'POST' ? readForm(request as unknown as Request).text('name') : '';
      return addForm(setUp, machine, taskOf(machine, request.params.task), request.params.what, named);
    }),
  );
  router.get('/machines/:id/copy', (request, response) => {
    const { household } = given.books.home();
    // A limit that follows the cold stands here as on the sheet that it is copied for.
    const machine = forTheCold(machineOf(given, request.params.id), household, given.facts());
    sendPage(response, 200, <CopySheet machine={machine} units={household.units} assets={assets} />);
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

function machineOf(given: Given, id: string): Machine {
  const machine = given.books.home().machines.find((one) => one.id === id);
  if (machine !== undefined) return machine;
  throw pageFault({
    code: 'machine-unknown',
    message: 'No machine of that name is set up',
    remedy: 'The page for setting up lists them.',
  });
}

function taskOf(machine: Machine, id: string) {
  const task = machine.tasks.find((one) => one.id === id);
  if (task !== undefined) return task;
  throw pageFault({
    code: 'task-unknown',
    message: `${machine.name} has no such task`,
    remedy: 'Its page lists them.',
  });
}
