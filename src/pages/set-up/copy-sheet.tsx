import type { Machine } from '../../domain/machine.js';
import { sayMachine } from '../../words/machine.js';
import { sayTask } from '../../words/task.js';
import type { Assets } from '../assets.js';
import { Page } from '../layout.js';

/** A sheet to take to the machine for a quarter of an hour: part numbers, quantities and limits to copy from manual and filters. */
export function CopySheet({ machine, assets }: { readonly machine: Machine; readonly assets: Assets }) {
  const wanted = machine.tasks.filter(
    ({ id, parts, fluids, measure }) =>
      machine.never[id] === undefined && parts.length + fluids.length + measure.length > 0,
  );
  return (
    <Page title={`To copy: ${machine.name}`} assets={assets}>
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
        {wanted.map((task) => (
          <tbody>
            <tr>
              <th scope="rowgroup" colspan={3}>
                <a class="way" href={`/set-up/machines/${machine.id}/tasks/${task.id}`}>
                  {sayTask(task.id, machine)}
                </a>
              </th>
            </tr>
            {task.parts.map((part) => (
              <tr>
                <td>{`${part.name}, its number`}</td>
                <td>{part.number === undefined || part.number === '' ? 'missing' : part.number}</td>
                <td />
              </tr>
            ))}
            {task.fluids.map((fluid) => (
              <tr>
                <td>{`${fluid.name}, how much and which`}</td>
                <td>{[fluid.quantity, fluid.must].filter((text) => text !== undefined).join(', ')}</td>
                <td />
              </tr>
            ))}
            {task.measure.map(({ name }) => (
              <tr>
                <td>{`${name}, its limits`}</td>
                <td>as in the plan</td>
                <td />
              </tr>
            ))}
          </tbody>
        ))}
      </table>
    </Page>
  );
}
