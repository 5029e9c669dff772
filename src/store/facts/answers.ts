import type { Answer } from '../../domain/facts.js';
import type { Store } from '../open.js';
import { day, number, numberOrNull, texts, word } from '../row.js';
import type { Row } from '../sql.js';
import { type ByMachine, ofMachines, rowsByMachine } from './by-machine.js';

export function addAnswer(store: Store, machine: string, answer: Answer, by: string | null): void {
  store.sql.run(
    `INSERT INTO answers (machine, kind, tasks, day, hours, at_ms, by)
     VALUES (:machine, :kind, :tasks, :day, :hours, :atMs, :by)`,
    {
      machine,
      kind: answer.kind,
      tasks: JSON.stringify(answer.tasks),
      day: answer.kind === 'have-parts' ? null : answer.day,
      hours: answer.kind === 'leave-out' ? answer.hours : null,
      atMs: answer.atMs,
      by,
    },
  );
}

export function answersOf(store: Store, machines: readonly string[]): ByMachine<Answer> {
  return rowsByMachine(
    store.sql,
    `SELECT * FROM answers WHERE ${ofMachines} ORDER BY machine, at_ms, id`,
    machines,
    answerOf,
  );
}

function answerOf(row: Row): Answer {
  const kind = word(row, 'kind', ['ask-on', 'leave-out', 'have-parts']);
  const tasks = texts(row, 'tasks');
  const atMs = number(row, 'at_ms');
  if (kind === 'ask-on') return { kind, tasks, day: day(row, 'day'), atMs };
  if (kind === 'leave-out') return { kind, tasks, day: day(row, 'day'), hours: numberOrNull(row, 'hours'), atMs };
  return { kind, tasks, atMs };
}
