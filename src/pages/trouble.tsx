import type { ErrorRequestHandler, RequestHandler } from 'express';
import { Fault } from '../domain/fault.js';
import type { Household } from '../domain/household.js';
import type { Log } from '../domain/outside.js';
import { sayStillElsewhere } from '../words/still.js';
import type { Assets } from './assets.js';
import { statusOf } from './errors.js';
import type { Given } from './given.js';
import { isTrustedHere } from './guard/this-computer.js';
import { Page, sendPage } from './layout.js';

interface SorryProps {
  readonly assets: Assets;
  readonly heading: string;
  readonly sentences: readonly string[];
}

/** A page that only says in plain words why there is nothing else to see. */
export function Sorry({ assets, heading, sentences }: SorryProps) {
  return (
    <Page title={heading} assets={assets}>
      <h1>{heading}</h1>
      {sentences.map((sentence) => (
        <p>{sentence}</p>
      ))}
      <p class="acts">
        <a class="act" href="/">
          Months ahead
        </a>
      </p>
    </Page>
  );
}

/** Answers 404 with a page that leads back. */
export function pageNotFound(assets: Assets): RequestHandler {
  return (_request, response) =>
    sendPage(
      response,
      404,
      <Sorry
        assets={assets}
        heading="There is no such page."
        sentences={['The address may be mistyped, or from an older message. Everything starts at the months ahead.']}
      />,
    );
}

/** Turns whatever was thrown into a page in plain words; only what nobody expected is logged as an error. */
export function troublePage(
  assets: Assets,
  log: Log,
  household: () => Household,
  damage: Given['damage'] = () => null,
): ErrorRequestHandler {
  return (failure: unknown, request, response, next) => {
    if (response.headersSent) return next(failure);
    const damaged = damage(failure);
    if (damaged !== null && failure instanceof Fault) {
      const isNear = isTrustedHere(request, household());
      const { lead, before } = isNear ? damaged : sayStillElsewhere(damaged, household().http.askHere !== true);
      const command = isNear ? [damaged.command] : [];
      return sendPage(
        response,
        503,
        <Sorry assets={assets} heading={damaged.heading} sentences={[lead, ...before, ...command]} />,
      );
    }
    if (failure instanceof Fault) {
      const sentences = [failure.remedy ?? 'Go back and try again.'];
      const heading = `${failure.message}${failure.found === undefined ? '' : ` (found ${failure.found})`}.`;
      return sendPage(
        response,
        statusOf(failure),
        <Sorry assets={assets} heading={heading.replace(/([.?!])\.$/, '$1')} sentences={sentences} />,
      );
    }
    const status = requestStatus(failure);
    if (status !== null) {
      const heading = status === 413 ? 'That is more than this page can take.' : 'This request could not be read.';
      return sendPage(
        response,
        status,
        <Sorry assets={assets} heading={heading} sentences={['Nothing was changed. Go back and send it once more.']} />,
      );
    }
    log.error(
      {
        method: request.method,
        // Only the first part: what follows may be a signed link.
        page: `/${request.path.split('/')[1] ?? ''}`,
        failure: failure instanceof Error ? (failure.stack ?? failure.message) : String(failure),
      },
      'a page broke',
    );
    return sendPage(
      response,
      500,
      <Sorry
        assets={assets}
        heading="Something went wrong in here."
        sentences={['It is written in the log of the service. What was on record before is still there.']}
      />,
    );
  };
}

/** Status of an error that express raised about the request itself (body too large, address not decodable). */
function requestStatus(failure: unknown): number | null {
  if (typeof failure !== 'object' || failure === null || !('status' in failure)) return null;
  const { status } = failure;
  return typeof status === 'number' && status >= 400 && status < 500 ? status : null;
}
