import type { Answer, GivenAnswer } from '../../domain/facts.js';
import type { Store } from '../open.js';
import { day, number, numberOrNull, text, textOrNull, texts, word } from '../row.js';
import type { Row } from '../sql.js';
import { type ByMachine, ofMachines, rowsByMachine } from './by-machine.js';

/** @returns the id of the answer */
export function addAnswer(store: Store, machine: string, answer: Answer, by: string | null): string {
  store.sql.run(
    `INSERT INTO answers (machine, kind, tasks, day, hours, at_ms, by)
     VALUES (:machine, :kind, :tasks, :day, :hours, :atMs, :by)`,
    {
      machine,
      kind: answer.kind,
      tasks: JSON.stringify(answer.tasks),
      day: answer.kind === 'have-parts' || answer.kind === 'own-visit' ? null : answer.day,
      hours: answer.kind === 'leave-out' ? answer.hours : null,
      atMs: answer.atMs,
      by,
    },
  );
  return idOf(Number(store.sql.row('SELECT max(id) AS id FROM answers')?.id));
}

/** Answers that stand, oldest first. */
export function answersOf(store: Store, machines: readonly string[]): ByMachine<Answer> {
  return rowsByMachine(
    store.sql,
    `SELECT * FROM answers WHERE ${ofMachines} AND voided_at_ms IS NULL ORDER BY machine, at_ms, id`,
    machines,
    answerOf,
  );
}

/** All answers about a machine, those taken back too, oldest first. */
export function givenAnswersOf(store: Store, machine: string): readonly GivenAnswer[] {
  return store.sql
    .rows('SELECT * FROM answers WHERE machine = :machine ORDER BY at_ms, id', { machine })
    .map(givenAnswerOf);
}

/** One taken back is found too. */
export function findAnswer(store: Store, id: string): GivenAnswer | null {
  const row = store.sql.row('SELECT * FROM answers WHERE id = :number', { number: numberOf(id) });
  return row === null ? null : givenAnswerOf(row);
}

/** Takes an answer back; one taken back before stays as it was.
 *  @param atMs  instant of taking it back */
export function voidAnswerRow(store: Store, id: string, atMs: number, by: string | null): void {
  store.sql.run(
    'UPDATE answers SET voided_at_ms = :atMs, voided_by = :by WHERE id = :number AND voided_at_ms IS NULL',
    { number: numberOf(id), atMs, by },
  );
}

function idOf(number: number): string {
  return `answer-${number}`;
}

/** 0, which no answer has, where the text is no id of an answer. */
function numberOf(id: string): number {
  return Number(/^answer-([1-9]\d{0,14})$/.exec(id)?.[1] ?? 0);
}

function givenAnswerOf(row: Row): GivenAnswer {
  return {
    id: idOf(number(row, 'id')),
    machine: text(row, 'machine'),
    answer: answerOf(row),
    by: textOrNull(row, 'by'),
    takenBackAtMs: numberOrNull(row, 'voided_at_ms'),
  };
}

function answerOf(row: Row): Answer {
  const kind = word(row, 'kind', ['ask-on', 'leave-out', 'have-parts', 'own-visit']);
  const tasks = texts(row, 'tasks');
  const atMs = number(row, 'at_ms');
  if (kind === 'ask-on') return { kind, tasks, day: day(row, 'day'), atMs };
  if (kind === 'leave-out') return { kind, tasks, day: day(row, 'day'), hours: numberOrNull(row, 'hours'), atMs };
  return { kind, tasks, atMs };
}
