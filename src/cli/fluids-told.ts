import type { Finding } from '../domain/facts.js';
import { amountUsed, fluidFinding, meetsDemand } from '../domain/fluid-used.js';
import type { Machine } from '../domain/machine.js';
import type { Fluid } from '../domain/task.js';
import { BadInput } from './output.js';

const asDemanded = /\s*;\s*as demanded\s*$/i;

/** Fluids that really went in, as typed behind `--fluid`: `engine oil: 5W-40, 4 L`, the kind or the amount alone, and
 *  `engine-oil/engine oil: ...` where several of the jobs have one of that name. `; as demanded` at the end says that it is the
 *  demanded kind under a name of its own.
 *  @param tasks  that are confirmed
 *  @throws BadInput for what names no fluid of theirs, names several, or says nothing of it */
export function fluidsTold(
  texts: readonly string[],
  tasks: readonly string[],
  { tasks: all }: Pick<Machine, 'tasks'>,
): readonly Finding[] {
  const known = all
    .filter(({ id, by }) => by === 'owner' && tasks.includes(id))
    .flatMap(({ id, fluids }) => fluids.map((fluid) => ({ task: id, fluid })));
  return texts.map((text) => {
    const at = text.indexOf(':');
    const name = plain(at < 0 ? text : text.slice(0, at));
    const said = at < 0 ? '' : text.slice(at + 1).trim();
    const named = known.filter(({ task, fluid }) => [plain(fluid.name), plain(`${task}/${fluid.name}`)].includes(name));
    const [one, another] = named;
    if (one === undefined) {
      const names = known.map(({ task, fluid }) => `${task}/${fluid.name}`).join(', ');
      const choice = names === '' ? 'These jobs have no fluid.' : `These jobs have: ${names}.`;
      throw new BadInput(`--fluid names no fluid of these jobs: ${JSON.stringify(text.slice(0, 80))}. ${choice}`);
    }
    if (another !== undefined) {
      const names = named.map(({ task, fluid }) => `${task}/${fluid.name}`).join(' or ');
      throw new BadInput(`--fluid could mean several: write ${names} before the colon.`);
    }
    if (said === '') {
      throw new BadInput(
        `--fluid says nothing of it. Write it such as "${one.fluid.name}: KIND, ${one.fluid.quantity}".`,
      );
    }
    const { kind, amount } = kindAndAmount(one.fluid, said.replace(asDemanded, ''));
    return {
      task: one.task,
      measurement: fluidFinding(one.fluid),
      place: null,
      found: kind,
      left: amount,
      verdict: null,
      note: asDemanded.test(said) ? meetsDemand : null,
    };
  });
}

/** Behind a comma with a blank stands the amount, right or wrong; alone, a number is one where its unit fits: an oil may be called
 *  by a number too. */
function kindAndAmount(fluid: Fluid, said: string): { readonly kind: string | null; readonly amount: string | null } {
  const [, kind, last] = /^(.*),\s+([-−]?[\d.,/ ]+[a-zA-Z ]*)$/.exec(said) ?? [];
  if (last !== undefined) return { kind: kind === undefined || kind.trim() === '' ? null : kind.trim(), amount: last };
  return isAmount(fluid, said) ? { kind: null, amount: said } : { kind: said, amount: null };
}

function isAmount(fluid: Fluid, text: string): boolean {
  if (!/^[\d.,/ ]+[a-zA-Z]/.test(text)) return false;
  try {
    return amountUsed(fluid, text, 'metric') !== '';
  } catch {
    return false;
  }
}

function plain(text: string): string {
  return text.trim().toLowerCase().replace(/\s+/g, ' ');
}
