import type { Home } from '../../domain/home.js';
import type { Assets } from '../assets.js';
import { Page } from '../layout.js';

interface Props {
  readonly home: Home;
  /** What is reckoned with of the winter, a sentence each. */
  readonly climate: readonly string[];
  readonly assets: Assets;
}

/** Everything that can be set up without an editor. */
export function SetUpPage({ home, climate, assets }: Props) {
  const { household, machines } = home;
  return (
    <Page title="Setting up" assets={assets}>
      <h1>Setting up {household.name}.</h1>
      <p class="second">
        Each form writes the YAML files of the home folder and shows what it writes. An editor does the same; remarks in
        the files stay.
      </p>
      <section>
        <h2>Machines</h2>
        <ul class="ways">
          {machines.map(({ id, name, gone }) => (
            <li>
              <a class="way" href={`/set-up/machines/${id}`}>
                {name}
              </a>
              {gone ? <span class="small">no longer here</span> : null}
            </li>
          ))}
        </ul>
        <p class="acts">
          <a class="act" href="/set-up/new-machine">
            A new machine
          </a>
        </p>
      </section>
      <section>
        <h2>People</h2>
        <ul class="ways">
          {household.people.map(({ name }, index) => (
            <li>
              <a class="way" href={`/set-up/people/${index}`}>
                {name}
              </a>
            </li>
          ))}
        </ul>
        <p class="acts">
          <a class="act" href="/set-up/people/new">
            Another person
          </a>
        </p>
      </section>
      <section>
        <h2>The rest</h2>
        <ul class="ways">
          <li>
            <a class="way" href="/set-up/household">
              The household: days, times, winter
            </a>
          </li>
          <li>
            <a class="way" href="/set-up/mail">
              The mail server
            </a>
          </li>
          <li>
            <a class="way" href="/set-up/broker">
              The broker of the sensors, and a thermometer
            </a>
          </li>
        </ul>
      </section>
      <section>
        <h2>Frost and cold</h2>
        {climate.map((said) => (
          <p>{said}</p>
        ))}
      </section>
    </Page>
  );
}
