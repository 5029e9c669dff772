import type { RequestHandler } from 'express';
import { drawQrCode } from '../charts/qr-code.js';
import type { Household } from '../domain/household.js';
import { addressElsewhere } from '../domain/page-address.js';
import type { Label } from '../domain/results/label.js';
import { labelOf } from '../outlook/label-of.js';
import { sayAmount } from '../words/shopping.js';
import { unbroken } from '../words/unbroken.js';
import type { Assets } from './assets.js';
import type { Given } from './given.js';
import { Page, sendPage } from './layout.js';
import { Drawing, wayToMachine } from './pieces.js';
import { showMachine } from './shown.js';

const manualFirst = 'The machine’s own manual counts before anything that is printed here.';

/** One sheet a machine to print and hang up in the shed: what one looks for there, and the way to its reading page. */
export function labelPage(given: Given, assets: Assets): RequestHandler<{ id: string }> {
  return (request, response) => {
    const { machine, household, outlook } = showMachine(given, request.params.id);
    const label = labelOf(machine, household, given.facts(), outlook.today);
    sendPage(
      response,
      200,
      <Page title={`Label: ${machine.name}`} up={wayToMachine(machine)} assets={assets}>
        <Code household={household} machine={machine.id} />
        <h1>{machine.name}</h1>
        <p class="second">To print and hang up beside it. {manualFirst}</p>
        <LabelSections label={label} household={household} heading="h2" />
        <p>
          <a class="way" href="/labels">
            The labels of all machines, to print at once
          </a>
        </p>
      </Page>,
    );
  };
}

/** The labels of all machines that are still here, to print at once and cut apart. */
export function labelsPage(given: Given, assets: Assets): RequestHandler {
  return (_request, response) => {
    const { household, machines } = given.books.home();
    const here = machines.filter((machine) => !machine.gone);
    const facts = given.facts();
    const { today } = given.latest();
    sendPage(
      response,
      200,
      <Page title="Labels" up={{ href: '/machines', text: 'Machines' }} assets={assets}>
        <div class="no-print">
          <h1>{here.length === 0 ? 'No machine needs a label yet.' : 'A label for each machine.'}</h1>
          <p class="second">
            {here.length === 0
              ? 'Set one up first.'
              : 'Print this page, cut it apart, and hang each up beside its machine.'}
          </p>
          {addressElsewhere(household) === null && here.length > 0 ? <NoAddress /> : null}
        </div>
        <div class="labels">
          {here.map((machine) => (
            <article class="label">
              {addressElsewhere(household) === null ? null : <Code household={household} machine={machine.id} />}
              <h2>{machine.name}</h2>
              <p class="second">{manualFirst}</p>
              <LabelSections label={labelOf(machine, household, facts, today)} household={household} heading="h3" />
            </article>
          ))}
        </div>
      </Page>,
    );
  };
}

interface SectionsProps {
  readonly label: Label;
  readonly household: Household;
  /** One below that of the machine's name. */
  readonly heading: 'h2' | 'h3';
}

function LabelSections({ label, household, heading: Heading }: SectionsProps) {
  return (
    <>
      {label.beforeUse.length === 0 ? null : (
        <section>
          <Heading>Before each use</Heading>
          <ul>{label.beforeUse.flatMap(({ checks }) => checks.map((check) => <li>{check}</li>))}</ul>
        </section>
      )}
      <Values label={label} household={household} heading={Heading} />
    </>
  );
}

function Values({ label, household, heading: Heading }: SectionsProps) {
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
            <Heading>{title}</Heading>
            <table class="copy">
              <tbody>
                {lines.map(({ name, value }) => (
                  <tr>
                    <th scope="row">{name}</th>
                    <td>{value === '' ? <span class="to-write">write it here</span> : unbroken(value)}</td>
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
  if (address === null) return <NoAddress />;
  const page = `${address}/machines/${machine}/reading`;
  return (
    <div class="label-code">
      <Drawing svg={drawQrCode(page, 'The address of the reading page')} />
      <p class="small">Enter a reading</p>
    </div>
  );
}

function NoAddress() {
  return (
    <p class="said no-print">
      No square to scan is printed: a phone needs an address to open. Set one with address: in household.yaml, or under
      Set up, The household.
    </p>
  );
}
