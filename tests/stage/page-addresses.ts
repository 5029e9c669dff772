import { makePermit } from '../../src/ledger/permit.js';
import type { OpenPages } from './open-pages.js';

/** The visit that is planned on a machine. */
export function plannedVisit(pages: OpenPages, machine: string) {
  const visit = pages.outlook().visits.find((one) => one.machine === machine);
  if (visit === undefined) throw new Error(`nothing is planned on ${machine}`);
  return visit;
}

/** Every kind of page that a person can open, by the name of its picture. */
export function pageAddresses(pages: OpenPages): readonly { readonly name: string; readonly path: string }[] {
  const visit = plannedVisit(pages, 'bank-tractor');
  const confirm = makePermit(pages.books, { scope: 'visit', subject: visit.id, person: 'ines', days: 30 });
  const reading = makePermit(pages.books, { scope: 'reading', subject: 'paddock-mower', person: 'ines', days: 30 });
  return [
    { name: 'months-ahead', path: '/' },
    { name: 'machines', path: '/machines' },
    { name: 'machine', path: '/machines/bank-tractor' },
    { name: 'reading', path: '/machines/bank-tractor/reading' },
    { name: 'run', path: '/machines/hedge-cutter/reading' },
    { name: 'hours', path: '/machines/bank-tractor/hours' },
    { name: 'stock', path: '/machines/bank-tractor/stock' },
    { name: 'logbook', path: '/machines/bank-tractor/logbook' },
    { name: 'sheet', path: `/visits/${visit.id}/sheet` },
    { name: 'confirm-link', path: `/v/${confirm}` },
    { name: 'reading-link', path: `/r/${reading}` },
    { name: 'notices', path: '/notices' },
    { name: 'devices', path: '/devices' },
    { name: 'sign-in', path: '/sign-in' },
    { name: 'why', path: `/machines/bank-tractor/why/${visit.leadTask}` },
    { name: 'label', path: '/machines/bank-tractor/label' },
    { name: 'labels', path: '/labels' },
    { name: 'set-up', path: '/set-up' },
    { name: 'set-up-machine', path: '/set-up/machines/bank-tractor' },
    { name: 'set-up-task', path: '/set-up/machines/bank-tractor/tasks/engine-oil' },
    { name: 'set-up-add', path: '/set-up/machines/bank-tractor/tasks/engine-oil/add/range' },
    { name: 'set-up-copy', path: '/set-up/machines/bank-tractor/copy' },
    { name: 'new-machine', path: '/set-up/new-machine' },
    { name: 'set-up-household', path: '/set-up/household' },
    { name: 'set-up-person', path: '/set-up/people/0' },
    { name: 'set-up-mail', path: '/set-up/mail' },
    { name: 'set-up-broker', path: '/set-up/broker' },
    { name: 'set-up-sensor', path: '/set-up/machines/bank-tractor/sensor' },
    { name: 'set-up-work', path: '/set-up/machines/bank-tractor/tasks/engine-oil/steps' },
    { name: 'not-found', path: '/nowhere' },
  ];
}
