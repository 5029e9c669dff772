import { z } from 'zod';
import { groupBundles } from '../visits/group-tasks.js';
import { type Kind, lineId } from './compute-lines.js';

const mostBundles = 200;
const mostDays = 4000;
const amount = z.number().min(-1e12).max(1e12);

const caseSchema = z
  .object({
    id: lineId,
    visitCost: z.number().min(0).max(1e12),
    days: z.tuple([z.int(), z.int()], { error: 'wants the first and the last day, two whole numbers' }),
    bundles: z.array(z.object({ id: z.string().min(1).max(200), cost: z.array(amount) })).max(mostBundles),
    shared: z.array(z.object({ bundles: z.array(z.string()).min(1), saves: z.number().min(0).max(1e12) })).nullish(),
  })
  .superRefine(({ days: [first, last], bundles, shared }, context) => {
    const say = (message: string, ...path: (string | number)[]) => context.addIssue({ code: 'custom', message, path });
    if (last < first) say('the last day lies before the first', 'days');
    else if (last - first >= mostDays) say(`wants at most ${mostDays} days`, 'days');
    else {
      const wanted = last - first + 1;
      for (const [at, { cost }] of bundles.entries()) {
        if (cost.length !== wanted)
          say(`wants ${wanted} values, one a day, and has ${cost.length}`, 'bundles', at, 'cost');
      }
    }
    const ids = new Set<string>();
    for (const [at, { id }] of bundles.entries()) {
      if (ids.has(id)) say(`${JSON.stringify(id)} is there twice`, 'bundles', at, 'id');
      ids.add(id);
    }
    for (const [at, { bundles: members }] of (shared ?? []).entries()) {
      for (const [place, member] of members.entries()) {
        if (!ids.has(member)) say(`there is no bundle ${JSON.stringify(member)}`, 'shared', at, 'bundles', place);
      }
    }
  });

/** What answers one line of `compute grouping`: visits of least cost, by day. */
export const groupingKind: Kind<z.infer<typeof caseSchema>> = {
  schema: caseSchema,
  answer: ({ visitCost, days: [first], bundles, shared }) => {
    const at = new Map(bundles.map(({ id }, index) => [id, index]));
    const found = groupBundles(
      bundles.map(({ cost }) => cost),
      visitCost,
      (shared ?? []).map(({ bundles: members, saves }) => ({
        bundles: [...new Set(members.flatMap((member) => at.get(member) ?? []))],
        saves,
        kind: 'all',
      })),
    );
    const visits = found.groups.map((group) => ({
      day: first + group.day,
      bundles: group.bundles.flatMap((index) => bundles[index]?.id ?? []),
    }));
    return { visits, cost: withoutNoise(found.cost), proven: found.proven };
  },
};

/** Twelve digits: sums of decimals without the last bits that nobody wrote. */
function withoutNoise(value: number): number {
  return Number(value.toPrecision(12));
}
