import type { RequestHandler } from 'express';
import helmet from 'helmet';

/** What a browser is told about every answer: no inline script or style, nothing from elsewhere, no framing.
 *  Plain http on a home network must work, so nothing here upgrades or remembers https. */
export function guardHeaders(): readonly RequestHandler[] {
  return [
    helmet({
      contentSecurityPolicy: {
        useDefaults: false,
        directives: {
          defaultSrc: ["'none'"],
          scriptSrc: ["'self'"],
          styleSrc: ["'self'"],
          imgSrc: ["'self'"],
          manifestSrc: ["'self'"],
          connectSrc: ["'self'"],
          workerSrc: ["'self'"],
          formAction: ["'self'"],
          frameAncestors: ["'none'"],
          baseUri: ["'none'"],
        },
      },
      strictTransportSecurity: false,
      // On plain http a browser ignores both and complains about them on its console.
      crossOriginOpenerPolicy: false,
      originAgentCluster: false,
      // Not no-referrer: under that a browser sends `Origin: null` with our own forms (Fetch standard, "append a
      // request Origin header"), and on plain http nothing else tells them from a stranger's. No other site hears
      // an address either way.
      referrerPolicy: { policy: 'same-origin' },
      xFrameOptions: { action: 'deny' },
      xPoweredBy: true,
    }),
    (_request, response, next) => {
      response.set('Cache-Control', 'no-store');
      // A phone tells by it our answers from those of a proxy that stands in front and does not reach us.
      response.set('Answered-By', 'shedbell');
      next();
    },
  ];
}
