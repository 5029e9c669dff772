import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { hasFirstTimeAhead } from '../domain/break-in.js';
import { addDays, type Day, dayOf, type Zone } from '../domain/day.js';
import type { Fault } from '../domain/fault.js';
import type { Home } from '../domain/home.js';
import type { LastDone, Machine } from '../domain/machine.js';
import type { Task } from '../domain/task.js';
import { sayReach } from '../home/addresses.js';
import type { Witness } from '../home/check-witness.js';
import { type HomeRead, loadHome } from '../home/load-home.js';
import { closedToOwner } from '../home/owner-reads.js';
import type { Unfitted } from '../home/resolve-machine.js';
import { joinAnd, sayCount } from '../words/counts.js';
import { sayHours } from '../words/hours.js';
import { shellWord } from '../words/still.js';
import { type At, clockWitness, homeFolder } from './at.js';
import { exitStatus, type Output } from './output.js';

/** Says every fault of the home folder, each on one line; or what is set up, and whether links open on a phone. */
export async function runCheck(at: At, out: Output): Promise<number> {
  const dir = homeFolder(at.home);
  const witness = clockWitness(at);
  const { loaded, storeFault } = await loadWithFacts(dir, witness);
  if (loaded.kind === 'faults') {
    for (const fault of loaded.faults) out.error(fault.line);
    if (storeFault !== null) out.error(storeFault.line);
    const count = loaded.faults.length;
    if (count > 1) out.error(`${count} errors. Where one key is wrong, what depends on it was not looked at yet.`);
    return exitStatus.badInput;
  }
  const nowMs = witness.nowMs(loaded.home.household.zone);
  for (const sentence of [
    ...sayHome(dir, loaded.home),
    ...loaded.unfitted.map(sayUnfitted),
    ...sayAhead(loaded.home, nowMs),
  ])
    out.line(sentence);
  const closed = process.getuid?.() === 0 ? closedToOwner(dir) : [];
  for (const path of closed) out.error(sayClosed(dir, path));
  if (storeFault === null) return closed.length === 0 ? exitStatus.fine : exitStatus.badInput;
  out.error(storeFault.line);
  return storeFault.retry === 'later' ? exitStatus.failed : exitStatus.badInput;
}

/** The home, held against what was written down in its data; only a home with data loads the code of the store. */
async function loadWithFacts(dir: string, clock: Witness): Promise<{ loaded: HomeRead; storeFault: Fault | null }> {
  if (!existsSync(join(dir, 'data'))) return { loaded: loadHome(dir, process.env, clock), storeFault: null };
  const { withFacts } = await import('./held-facts.js');
  return withFacts(dir, clock, (witness, storeFault) => ({ loaded: loadHome(dir, process.env, witness), storeFault }));
}

/** What root may read and the service may not. */
function sayClosed(dir: string, path: string): string {
  const [folder = path] = path.split('/');
  return `${path}: root may read it, but the user of the service, who owns ${dir}, may not. Type as root: chown -R --reference=${shellWord(dir)} ${shellWord(join(dir, folder))}`;
}

function sayHome(dir: string, { household, machines }: Home): string[] {
  const list = machines.map(({ id, tasks, gone }) => `${id} (${gone ? 'gone' : sayCount(tasks.length, 'task')})`);
  const sentences = [
    machines.length > 0
      ? `${dir} is in order: ${list.join(', ')}.`
      : `${dir} is in order, but has no machine yet: put a file under ${dir}/machines.`,
  ];
  const fed = machines.filter(({ feed }) => feed !== undefined);
  if (fed.length > 0 && household.mqtt === undefined) {
    const names = fed.map(({ id }) => id).join(', ');
    sentences.push(`${names}: a feed is set up, but household.yaml names no broker (mqtt:), so nothing is counted.`);
  }
  sentences.push(...saySharedSensors(fed.filter(({ gone }) => !gone)));
  if (household.people.length === 0) {
    sentences.push('household.yaml names no people, so nobody is told anything.');
  }
  if (household.smtp === undefined && household.people.length > 0) {
    sentences.push('No mail server is set up (smtp:): messages are kept in data/outbox and shown on the page.');
  }
  const unreached = household.people.filter(({ mail }) => mail === undefined).map(({ name }) => name);
  if (household.smtp !== undefined && unreached.length > 0) {
    sentences.push(`${unreached.join(', ')}: no mail address, so their messages are kept in data/outbox.`);
  }
  return [...sentences, ...saySharedMail(household), ...machines.flatMap(sayBreakIn), ...sayReach(household)];
}

/** A letter is to one person, and its links carry who it is: where two share an address, one letter stands for both. */
function saySharedMail({ smtp, people }: Home['household']): string[] {
  if (smtp === undefined) return [];
  const byAddress = new Map<string, string[]>();
  for (const { name, mail } of people) {
    if (mail === undefined) continue;
    const address = mail.toLowerCase();
    byAddress.set(address, [...(byAddress.get(address) ?? []), name]);
  }
  return [...byAddress]
    .filter(([, names]) => names.length > 1)
    .map(
      ([address, names]) =>
        `${joinAnd(names)} share ${address}, so what both are told comes there once, and what is confirmed by its links is in the name of ${names[0]}.`,
    );
}

/** One sensor counts for one machine; a file that was copied names the same one twice. */
function saySharedSensors(machines: readonly Machine[]): string[] {
  const users = new Map<string, { readonly topic: string; readonly ids: string[] }>();
  for (const { id, feed } of machines) {
    if (feed === undefined) continue;
    const value = JSON.stringify([feed.topic, feed.pointer ?? '']);
    const found = users.get(value) ?? { topic: feed.topic, ids: [] };
    found.ids.push(id);
    users.set(value, found);
  }
  return [...users.values()]
    .filter(({ ids }) => ids.length > 1)
    .map(
      ({ topic, ids }) =>
        `${joinAnd(ids)} listen to the same value of ${topic}: what that sensor says counts for each of them. If each has a sensor of its own, give each its topic or pointer.`,
    );
}

/** A machine that names no fitting: what is left out for it, since it may have been forgotten. */
function sayUnfitted({ machine, fittings, tasks }: Unfitted): string {
  const count = `${sayCount(tasks.length, 'task')} of its plan ${tasks.length === 1 ? 'is' : 'are'}`;
  return `${machine}: has: names nothing, so ${count} left out: ${tasks.join(', ')}. Write under has: what it has: ${fittings.join(', ')}.`;
}

/** Days in a machine's file that are still ahead: probably a slip, perhaps not. Tomorrow may be another time zone's today. */
function sayAhead({ machines, household }: Home, nowMs: number | null): string[] {
  if (nowMs === null) return [];
  const { zone } = household;
  const today = dayOf(nowMs, zone);
  return machines
    .filter(({ gone }) => !gone)
    .flatMap((machine) =>
      daysTold(machine, zone)
        .filter(({ day }) => day > addDays(today, 1))
        .map(({ key, day, means }) => `${machine.id}: ${key}: ${day} has not come yet (today is ${today}): ${means}.`),
    );
}

interface DayTold {
  /** As it stands in the file. */
  readonly key: string;
  readonly day: Day;
  /** What is made of it while it is ahead. */
  readonly means: string;
}

function daysTold({ since, meter, last }: Machine, zone: Zone): DayTold[] {
  const told: DayTold[] = [{ key: 'since', day: since, means: 'it is taken for a machine still to come' }];
  if (meter.kind === 'meter') {
    const { first, changes } = meter;
    const on = first === undefined ? since : dayOf(first.atMs, zone);
    // Without a day of its own the first value is of the day the machine came.
    if (on !== since) told.push({ key: 'meter.first.on', day: on, means: 'nobody can have read the meter then' });
    for (const { atMs } of changes) {
      told.push({
        key: 'meter.replaced.on',
        day: dayOf(atMs, zone),
        means: 'the meter cannot have been replaced then',
      });
    }
  }
  for (const [task, done] of Object.entries(last)) {
    if (done.kind !== 'done' || done.day === undefined || done.day === since) continue;
    told.push({ key: `last.${task}.day`, day: done.day, means: 'it cannot have been done then' });
  }
  return told;
}

/** A blanket word in `last:` of a machine that came new: what it does to the jobs of the first hours, and what to write. */
function sayBreakIn(machine: Machine): string[] {
  if (machine.gone) return [];
  const cameWithHours = machine.meter.kind === 'meter' ? (machine.meter.first?.hours ?? null) : null;
  const saidOf = (kind: LastDone['kind']) => machine.tasks.filter(({ id }) => machine.last[id]?.kind === kind);
  const list = (tasks: readonly Task[]) =>
    joinAnd(tasks.map(({ id, first }) => `${id} (at ${sayHours(first?.hours ?? 0)})`));
  const leaveOut = 'On a new machine leave last: out';
  const notes: string[] = [];
  const ahead = (task: Task) => hasFirstTimeAhead(machine, task, cameWithHours);
  const fine = saidOf('fine-as-bought').filter(ahead);
  if (fine.length > 0) {
    notes.push(
      `${machine.id}: it came with ${sayHours(cameWithHours ?? 0)}, so last: fine-as-bought does not stand for jobs of its first hours; they stay to be done: ${list(fine)}. ${leaveOut}; if one was done early, write under last: such as ${fine[0]?.id}: { hours: ${cameWithHours}, day: ${machine.since} }.`,
    );
  }
  const unknown = saidOf('unknown').filter(ahead);
  if (unknown.length > 0) {
    notes.push(
      `${machine.id}: it came with ${sayHours(cameWithHours ?? 0)}, but last: unknown puts jobs of its first hours into the visit for getting to know it: ${list(unknown)}. ${leaveOut}; then they come when they are due.`,
    );
  }
  const meterless =
    machine.meter.kind === 'none' ? saidOf('fine-as-bought').filter(({ first }) => first?.hours !== undefined) : [];
  if (meterless.length > 0) {
    notes.push(
      `${machine.id}: last: fine-as-bought takes jobs of its first hours as done: ${list(meterless)}. If it came new, take last: out.`,
    );
  }
  return notes;
}
