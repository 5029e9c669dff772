import type { Household } from '../../domain/household.js';
import type { Machine } from '../../domain/machine.js';
import { toCopy } from '../../outlook/to-copy.js';
import { sayMachine } from '../../words/machine.js';
import { sayAmount } from '../../words/shopping.js';
import { sayTask } from '../../words/task.js';
import { unbroken } from '../../words/unbroken.js';
import type { Assets } from '../assets.js';
import { Page } from '../layout.js';

interface Props {
  readonly machine: Machine;
  readonly units: Household['units'];
  readonly assets: Assets;
}

/** A sheet to take to the machine for a quarter of an hour: part numbers, quantities and limits to copy from manual and filters. */
export function CopySheet({ machine, units, assets }: Props) {
  const wanted = toCopy(machine, units);
  return (
    <Page
      title={`To copy: ${machine.name}`}
      up={{ href: `/set-up/machines/${machine.id}`, text: machine.name }}
      assets={assets}
    >
      <h1>Copy these from your manual and filters.</h1>
      <p class="second">
        A quarter of an hour beside {sayMachine(machine)}. Its own manual counts before anything that is printed here.
      </p>
      <table class="copy to-copy">
        <colgroup>
          <col />
          <col />
          <col />
        </colgroup>
        <thead>
          <tr>
            <th scope="col">What</th>
            <th scope="col">Known so far</th>
            <th scope="col">Copied</th>
          </tr>
        </thead>
        {wanted.map(({ task, parts, fluids, limits }) => (
          <tbody>
            <tr>
              <th scope="rowgroup" colspan={3}>
                <a class="way" href={`/set-up/machines/${machine.id}/tasks/${task}`}>
                  {sayTask(task, machine)}
                </a>
              </th>
            </tr>
            {parts.map(({ name, number }) => (
              <Line what={`${name}, its number`} known={number ?? 'missing'} />
            ))}
            {fluids.map(({ name, amount, kinds }) => (
              <Line
                what={`${name}, how much and which`}
                known={[sayAmount(amount.unit, amount.quantity, units), ...kinds].join(', ')}
              />
            ))}
            {limits.map(({ name, known }) => (
              <Line what={`${name}, its limits`} known={known} />
            ))}
          </tbody>
        ))}
      </table>
    </Page>
  );
}

function Line({ what, known }: { readonly what: string; readonly known: string }) {
  return (
    <tr>
      <td>{what}</td>
      <td>{unbroken(known)}</td>
      <td />
    </tr>
  );
}
