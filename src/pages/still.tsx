import express, { type Express, type RequestHandler } from 'express';
import { formatInstant } from '../domain/day.js';
import type { Household } from '../domain/household.js';
import { type StillWords, sayStillElsewhere } from '../words/still.js';
import { type Assets, findAssets, sendAsset } from './assets.js';
import { guardHeaders } from './guard/headers.js';
import { guardHost } from './guard/host.js';
import { limitAll } from './guard/rate.js';
import { isTrustedHere, isVouchedFor } from './guard/this-computer.js';
import { HeadOfAll, writePage } from './layout.js';

/** What the page needs while the data cannot be used. */
export interface StillGiven {
  readonly household: Household;
  readonly port: number;
  readonly webFolder: string;
  readonly nowMs: () => number;
  readonly said: () => StillWords;
  /** The fault's code, for /health. */
  readonly code: string;
  /** When the newest whole backup was made, or null. */
  readonly lastBackupAtMs: () => number | null;
}

/** The one page of a service that stands still because its data cannot be used: every address says why, with 503, and nothing is taken. Calendars and phones
 *  keep what they have on that answer, and entries without signal go on waiting. */
export function createStillApp(given: StillGiven): Express {
  const assets = findAssets(given.webFolder);
  const app = express();
  app.disable('x-powered-by');
  app.disable('etag');
  app.use(guardHost(() => given.household, given.port));
  app.use(...guardHeaders());
  app.use(limitAll());
  app.get('/web/:name', sendAsset(given.webFolder));
  app.get('/health', sendStillHealth(given));
  app.use((request, response) => {
    const said = given.said();
    // Nobody can sign in without the data, so the paths are for this computer only.
    const isNear = isTrustedHere(request, given.household) || isVouchedFor(request, given.household);
    response
      .status(503)
      .type('html')
      .set('Retry-After', '600')
      .send(
        writePage(
          <Still
            assets={assets}
            said={isNear ? said : sayStillElsewhere(said, given.household.http.askHere !== true)}
          />,
        ),
      );
  });
  return app;
}

/** The same keys as from a service that is well. */
function sendStillHealth(given: StillGiven): RequestHandler {
  return (_request, response) => {
    const backupAtMs = given.lastBackupAtMs();
    response.status(503).json({
      status: 'failing',
      code: given.code,
      now: formatInstant(given.nowMs()),
      lastTurnAt: null,
      problems: 1,
      signedIn: false,
      database: 'failing',
      loopLagMs: null,
      lastBackupAt: backupAtMs === null ? null : formatInstant(backupAtMs),
    });
  };
}

interface StillProps {
  readonly assets: Assets;
  readonly said: StillWords;
}

function Still({ assets, said }: StillProps) {
  return (
    <html lang="en">
      <head>
        <HeadOfAll title={said.heading} assets={assets} />
      </head>
      <body>
        <main>
          <h1>{said.heading}</h1>
          <p class="said" role="alert">
            {said.lead}
          </p>
          {said.before.map((sentence) => (
            <p>{sentence}</p>
          ))}
          {said.command === null ? null : (
            <pre class="typed">
              <code>{said.command}</code>
            </pre>
          )}
          {said.after.map((sentence) => (
            <p>{sentence}</p>
          ))}
        </main>
      </body>
    </html>
  );
}
