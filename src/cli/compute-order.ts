import { z } from 'zod';
import { stuckItems } from '../sheet/order-problem.js';
import { orderPlainly, type PlainCase } from '../sheet/plain-order.js';
import { type Kind, lineId } from './compute-lines.js';

const mostTasks = 500;
const minutes = z.number().min(0).max(1e6);
const name = z.string().min(1).max(200);
const raised = z.enum(['none', 'front', 'rear']);
const fitted = z.record(z.string(), z.enum(['on', 'off'])).nullish();
const offOn = z.object({ off: minutes, on: minutes });
const state = z.object({ raised: raised.nullish(), covers: z.array(name).nullish(), fitted });

const caseSchema = z
  .object({
    id: lineId,
    tasks: z
      .array(
        z.object({
          id: name,
          minutes,
          needs: z
            .object({
              engine: z.enum(['cold', 'warm', 'running', 'brief', 'off', 'any']).nullish(),
              raised: z.enum(['none', 'front', 'rear', 'any']).nullish(),
              covers: z.array(name).nullish(),
              fitted,
              battery: z.enum(['connected', 'disconnected', 'any']).nullish(),
            })
            .nullish(),
          after: z.array(z.string()).nullish(),
        }),
      )
      .max(mostTasks),
    start: state.extend({ engine: z.enum(['cold', 'warm', 'running']).nullish() }).nullish(),
    finish: state.nullish(),
    changes: z.object({
      warmUp: minutes,
      coolDown: minutes,
      start: minutes,
      stop: minutes,
      raise: minutes,
      lower: minutes,
      covers: z.record(z.string(), offOn).nullish(),
      fitted: z.record(z.string(), offOn).nullish(),
      battery: offOn.nullish(),
    }),
  })
  .superRefine(({ tasks, start, finish, changes }, context) => {
    const say = (message: string, ...path: (string | number)[]) => context.addIssue({ code: 'custom', message, path });
    const at = new Map<string, number>();
    for (const [index, { id }] of tasks.entries()) {
      if (at.has(id)) say(`${JSON.stringify(id)} is there twice`, 'tasks', index, 'id');
      else at.set(id, index);
    }
    const checkCovers = (covers: readonly string[] | null | undefined, ...path: (string | number)[]) => {
      for (const cover of covers ?? []) {
        if (!Object.hasOwn(changes.covers ?? {}, cover)) {
          say(`changes.covers has no ${JSON.stringify(cover)}`, ...path, 'covers');
        }
      }
    };
    const checkFitted = (fittings: z.infer<typeof fitted>, ...path: (string | number)[]) => {
      for (const fitting of Object.keys(fittings ?? {})) {
        if (!Object.hasOwn(changes.fitted ?? {}, fitting)) {
          say(`changes.fitted has no ${JSON.stringify(fitting)}`, ...path, 'fitted');
        }
      }
    };
    for (const [key, one] of [
      ['start', start],
      ['finish', finish],
    ] as const) {
      checkCovers(one?.covers, key);
      checkFitted(one?.fitted, key);
    }
    for (const [index, { needs, after }] of tasks.entries()) {
      checkCovers(needs?.covers, 'tasks', index, 'needs');
      checkFitted(needs?.fitted, 'tasks', index, 'needs');
      if (needs?.battery === 'disconnected' && !changes.battery)
        say('changes.battery is missing', 'tasks', index, 'needs', 'battery');
      for (const other of after ?? []) {
        if (!at.has(other)) say(`there is no task ${JSON.stringify(other)}`, 'tasks', index, 'after');
      }
    }
    if (Object.keys(changes.fitted ?? {}).length > 30) say('wants at most 30 fittings', 'changes', 'fitted');
    const stuck = stuckItems(tasks.map(({ after }) => (after ?? []).flatMap((other) => at.get(other) ?? [])));
    if (stuck.length > 0) {
      say(`these wait for each other in a circle: ${stuck.map((index) => tasks[index]?.id).join(', ')}`, 'tasks');
    }
  })
  .transform(({ id, tasks, start, finish, changes }) => {
    const startFitted = start?.fitted ?? {};
    const aCase: PlainCase = {
      tasks: tasks.map(({ id: task, minutes: own, needs, after }) => ({
        id: task,
        minutes: own,
        engine: needs?.engine ?? 'any',
        raised: needs?.raised ?? 'any',
        covers: needs?.covers ?? [],
        fitted: needs?.fitted ?? {},
        battery: needs?.battery ?? 'any',
        after: after ?? [],
      })),
      start: {
        engine: start?.engine ?? 'cold',
        raised: start?.raised ?? 'none',
        covers: start?.covers ?? [],
        fitted: startFitted,
      },
      finish: {
        raised: finish?.raised ?? 'none',
        covers: finish?.covers ?? [],
        // What the finish does not name ends as it was found.
        fitted: { ...startFitted, ...finish?.fitted },
      },
      changes: {
        ...changes,
        covers: changes.covers ?? {},
        fitted: changes.fitted ?? {},
        battery: changes.battery ?? { on: 0, off: 0 },
      },
    };
    return { id, aCase };
  });

/** What answers one line of `compute order`: the order of least minutes. */
export const orderKind: Kind<z.infer<typeof caseSchema>> = {
  schema: caseSchema,
  answer: ({ aCase }) => {
    const { order, minutes: total, proven } = orderPlainly(aCase);
    return { order, minutes: Number(total.toPrecision(12)), proven };
  },
};
