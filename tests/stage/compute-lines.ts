import { Readable } from 'node:stream';
import { answerLines, type Kind } from '../../src/cli/compute-lines.js';

/** What a kind of computation answers to lines of JSON, texts as they are. */
export async function answersTo<T extends { readonly id: string | number }>(
  kind: Kind<T>,
  ...cases: (object | string)[]
) {
  const lines: string[] = [];
  const text = cases.map((one) => (typeof one === 'string' ? one : JSON.stringify(one))).join('\n');
  const status = await answerLines(kind, Readable.from([text]), (line) => lines.push(line) > 0);
  return { status, answers: lines.map((line): Record<string, unknown> => JSON.parse(line)) };
}
/** The answer to one line. */
export async function one<T extends { readonly id: string | number }>(kind: Kind<T>, over: object) {
  const { status, answers } = await answersTo(kind, over);
  return { status, ...answers[0] };
}

/** Minutes of what an order asks for. */
export const orderChanges = {
  warmUp: 10,
  coolDown: 45,
  start: 1,
  stop: 1,
  raise: 8,
  lower: 4,
  covers: { hood: { off: 2, on: 3 } },
};
/** Three jobs of a machine with a hood. */
export const anOrder = (over: object = {}) => ({
  id: 'o',
  tasks: [
    { id: 'drain', minutes: 20, needs: { engine: 'warm', raised: 'none', covers: ['hood'] }, after: [] },
    { id: 'belt', minutes: 10, needs: { engine: 'cold', raised: 'any', covers: ['hood'] }, after: [] },
    { id: 'fill', minutes: 5, needs: { engine: 'off', raised: 'any', covers: [] }, after: ['drain'] },
  ],
  start: { engine: 'cold', raised: 'none', covers: [] },
  changes: orderChanges,
  finish: { raised: 'none', covers: [] },
  ...over,
});

/** Three bundles over four days. */
export const aGrouping = (over: object = {}) => ({
  id: 'g',
  visitCost: 10,
  days: [-1, 2],
  bundles: [
    { id: 'oil', cost: [0, 2, 4, 6] },
    { id: 'belt', cost: [6, 4, 1, 0] },
    { id: 'far', cost: [90, 60, 30, 0] },
  ],
  ...over,
});
