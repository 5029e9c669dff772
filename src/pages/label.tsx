import type { RequestHandler } from 'express';
import { drawQrCode } from '../charts/qr-code.js';
import type { Household } from '../domain/household.js';
import { addressElsewhere } from '../domain/page-address.js';
import type { Label } from '../domain/results/label.js';
import { labelOf } from '../outlook/label-of.js';
import { sayAmount } from '../words/shopping.js';
import type { Assets } from './assets.js';
import type { Given } from './given.js';
import { Page, sendPage } from './layout.js';
import { Drawing, WayToMachine } from './pieces.js';
import { showMachine } from './shown.js';

/** One sheet a machine to print and hang up in the shed: what one looks for there, and the way to its reading page. */
export function labelPage(given: Given, assets: Assets): RequestHandler<{ id: string }> {
  return (request, response) => {
    const { machine, household, outlook } = showMachine(given, request.params.id);
    const label = labelOf(machine, household, given.facts(), outlook.today);
    sendPage(
      response,
      200,
      <Page title={`Label: ${machine.name}`} assets={assets}>
        <Code household={household} machine={machine.id} />
        <h1>{machine.name}</h1>
        <p class="second">
          To print and hang up beside it. The machine’s own manual counts before anything that is printed here.
        </p>
        {label.beforeUse.length === 0 ? null : (
          <section>
            <h2>Before each use</h2>
            <ul>{label.beforeUse.flatMap(({ checks }) => checks.map((check) => <li>{check}</li>))}</ul>
          </section>
        )}
        <Values label={label} household={household} />
        <WayToMachine machine={machine} />
      </Page>,
    );
  };
}

function Values({ label, household }: { readonly label: Label; readonly household: Household }) {
  const groups = [
    { title: 'To set', lines: label.settings.map(({ name, limits }) => ({ name, value: limits })) },
    {
      title: 'To fill in',
      lines: label.fluids.map(({ name, quantity, unit, grade, work }) => ({
        name: work === null ? name : `${name} (${work})`,
        value: [sayAmount(unit, quantity, household.units), grade].filter((text) => text !== null).join(', '),
      })),
    },
    { title: 'Numbers of parts', lines: label.parts.map(({ name, number }) => ({ name, value: number ?? '' })) },
  ];
  return (
    <>
      {groups
        .filter(({ lines }) => lines.length > 0)
        .map(({ title, lines }) => (
          <section>
            <h2>{title}</h2>
            <table class="copy">
              <tbody>
                {lines.map(({ name, value }) => (
                  <tr>
                    <th scope="row">{name}</th>
                    <td>{value === '' ? <span class="to-write">write it here</span> : value}</td>
                  </tr>
                ))}
              </tbody>
            </table>
          </section>
        ))}
    </>
  );
}

/** The square leads to the reading page, where that has an address other devices can open. */
function Code({ household, machine }: { readonly household: Household; readonly machine: string }) {
  const address = addressElsewhere(household);
  if (address === null) {
    return (
      <p class="said no-print">
        No square to scan is on this label: a phone needs an address to open. Set one with address: in household.yaml,
        or under Set up, The household.
      </p>
    );
  }
  const page = `${address}/machines/${machine}/reading`;
  return (
    <div class="label-code">
      <Drawing svg={drawQrCode(page, 'The address of the reading page')} />
      <p class="small">Enter a reading</p>
    </div>
  );
}
