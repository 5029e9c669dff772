import { type Caution, signalWords } from '../domain/cautions.js';
import type { MachineFacts } from '../domain/facts.js';
import type { Machine } from '../domain/machine.js';
import type { BeforeUse, Sheet, SheetLine } from '../domain/results/sheet.js';
import type { Visit } from '../domain/results/visit.js';
import type { Task } from '../domain/task.js';
import { opening, openingMinutes, opensSomething, writeClosing, writeOpening } from './frame-blocks.js';
import { jobsOf, needsOf, tasksOf } from './jobs.js';
import { LineWriter } from './line-writer.js';
import { asItStands, type Change, minutesOf, reach } from './state.js';
import { writeTask } from './task-lines.js';
import { collectTools } from './tools.js';
import { orderTasks } from './working-order.js';

const comesFirst =
  'The machine’s own manual, local codes and licensed practice come first. This sheet is common practice and gives way to them.';
/** How many of the worst cautions are said again at the top, where no DANGER asks for more. */
const worstAtTop = 4;

/** A visit written out in working order: the opening, each task with its state changes before it, the end block.
 *  Tasks that the machine no longer has are left out, and checks before each use stand beside the visit.
 *  @param visit    proposed or announced
 *  @param machine  the one that the visit is about
 *  @param facts    of that machine: what was noticed, what was found last
 *  @returns  a visit for the dealer has its opening and tasks, no work of our own
 *  @throws   Fault order-impossible, caution-unknown and those of sayLimits, which a checked plan never raises
 *  Source: common practice, no source. */
export function writeSheet(visit: Visit, machine: Machine, facts: MachineFacts): Sheet {
  const tasks = tasksOf(visit, machine);
  const own = tasks.filter(({ by }) => by === 'owner' && visit.by === 'owner');
  const forDealer = tasks.filter((task) => !own.includes(task));
  const finish = own.some(opensSomething) ? 'running' : 'any';
  const working = orderTasks(jobsOf(own), finish);
  const inOrder = working.order.flatMap((id) => own.filter((task) => task.id === id));

  const lines = new LineWriter();
  writeOpening(lines, facts);
  let state = asItStands;
  let changes: readonly Change[] = [];
  for (const task of inOrder) {
    const reached = reach(state, needsOf(task));
    lines.changes(task.id, reached.changes);
    lines.heading(task.id, task.title, task.minutes, whyNow(task, visit, tasks));
    writeTask(lines, task, facts, machine.tasks);
    state = reached.state;
    changes = [...changes, ...reached.changes];
  }
  for (const task of forDealer) {
    lines.heading(task.id, task.title, task.minutes, whyNow(task, visit, tasks));
    writeTask(lines, { ...task, by: 'dealer' }, facts, machine.tasks);
  }
  let minutes = openingMinutes + minutesOf(changes) + tasks.reduce((sum, task) => sum + task.minutes, 0);
  if (inOrder.length > 0) {
    const end = writeClosing(lines, state, inOrder, machine.tasks);
    minutes += end.minutes + minutesOf(end.changes);
  }
  return {
    visit,
    machineName: machine.name,
    minutes,
    tools: collectTools(inOrder),
    shopping: visit.shopping,
    cautions: worstOf(lines.lines),
    lines: lines.lines,
    comesFirst,
    beforeUse: beforeUseOf(machine.tasks),
    noticed: facts.noticed.filter(({ state: answered }) => answered === 'open').map(({ text }) => text),
    orderProven: working.proven,
  };
}

function whyNow(task: Task, visit: Visit, tasks: readonly Task[]): string | null {
  if (!visit.tasks.includes(task.id)) {
    const leader = tasks.find(({ leadsTo = [] }) => leadsTo.some((next) => next.task === task.id && next.at === 'end'));
    return leader === undefined ? null : `because of: ${leader.title}`;
  }
  if (visit.pulledForward.includes(task.id)) return 'done early, to share this visit';
  return visit.kind === 'getting-to-know' ? 'nobody knows when it was done last' : null;
}

/** All dangers and, while there are few, the warnings that follow, each once, worst first. */
function worstOf(lines: readonly SheetLine[]): Caution[] {
  const found = new Map<string, Caution>();
  for (const line of lines) {
    const cautions =
      line.kind === 'caution' || line.kind === 'step'
        ? [line.caution]
        : line.kind === 'if-out'
          ? line.steps.map(({ caution }) => caution)
          : [];
    // What the opening and every sheet say is no news at the top.
    const isEverySheet = line.kind === 'caution' && line.task === opening;
    for (const caution of cautions) if (caution !== null && !isEverySheet) found.set(caution.id, caution);
  }
  const worstFirst = signalWords.flatMap((word) => [...found.values()].filter(({ signal }) => signal === word));
  const dangers = worstFirst.filter(({ signal }) => signal === 'DANGER').length;
  return worstFirst
    .filter(({ signal }) => signal === 'DANGER' || signal === 'WARNING')
    .slice(0, Math.max(dangers, worstAtTop));
}

function beforeUseOf(tasks: readonly Task[]): BeforeUse[] {
  return tasks
    .filter(({ every }) => every === 'use')
    .map(({ id, title, steps, measure }) => ({
      task: id,
      title,
      checks: [...steps.map((step) => step.do), ...measure.map(({ name }) => name)],
    }));
}
