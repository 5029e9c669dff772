import { createHash } from 'node:crypto';
import { type RequestHandler, Router } from 'express';
import { pageAddress } from '../domain/page-address.js';
import { writeCalendar } from '../formats/calendar.js';
import { calendarEntries, cancelledEntries } from '../ledger/calendar-entries.js';
import { calendarKey, opensCalendar, renewCalendarKey } from '../ledger/calendar-key.js';
import { isOutOfUse } from '../words/open-finding.js';
import type { Given } from './given.js';
import { readForm } from './guard/form.js';
import { limitLinks } from './guard/rate.js';

/** The calendar and the wish for a new address of it. */
export function calendarRoutes(given: Given): Router {
  const router = Router();
  router.use('/calendar', limitLinks());
  router.get('/calendar/:file', calendarFeed(given));
  router.post('/calendar/renew', renewCalendar(given));
  return router;
}

/** The secret address that calendar programs subscribe to, and the name of its key for the form that makes a new one. */
export function calendarUrl(given: Given): { readonly url: string; readonly key: string } {
  const { id, token } = calendarKey(given.books);
  return { url: `${siteOf(given)}/calendar/${token}.ics`, key: id };
}

/** The visits ahead for calendar programs. The address is the only key; an old or wrong one is like any page that is not there. */
function calendarFeed(given: Given): RequestHandler<{ file: string }> {
  return (request, response, next) => {
    const token = /^([A-Za-z0-9_-]{1,64})\.ics$/.exec(request.params.file)?.[1];
    if (token === undefined || !opensCalendar(given.books, token)) return next();
    const home = given.books.home();
    const { today, visits, machines } = given.latest();
    const site = siteOf(given);
    const text = writeCalendar({
      name: home.household.name,
      today,
      locale: home.household.locale,
      visits: calendarEntries(given.books, visits).flatMap((entry) => {
        const machine = home.machines.find((one) => one.id === entry.visit.machine);
        const sheetUrl = `${site}/visits/${encodeURIComponent(entry.visit.id)}/sheet`;
        if (machine === undefined) return [];
        const toMend = machines.find((one) => one.machine === machine.id)?.toMend ?? [];
        return [{ ...entry, machine, sheetUrl, notToBeUsed: toMend.some((finding) => isOutOfUse(finding, machine)) }];
      }),
      cancelled: cancelledEntries(given.books, visits),
    });
    const tag = `"${createHash('sha256').update(text).digest('base64url')}"`;
    // Kept by whoever fetched it, but asked for again each time: then mostly 304.
    response.set({ 'Cache-Control': 'private, no-cache', ETag: tag });
    if (names(request.headers['if-none-match'], tag)) {
      response.status(304).end();
      return;
    }
    response.set('Content-Disposition', 'inline; filename="visits-ahead.ics"');
    response.type('text/calendar; charset=utf-8').send(text);
  };
}

/** Whether an If-None-Match names this tag. Express would answer in full where `Cache-Control: no-cache` comes with it, as
 *  some programs send; a 304 is an answer to that as well.
 *  Source: RFC 9110 section 13.1.2 (weak comparison), RFC 9111 section 5.2.1.4. */
function names(header: string | undefined, tag: string): boolean {
  return (header ?? '').split(',').some((one) => one.trim() === '*' || one.trim().replace(/^W\//, '') === tag);
}

/** "Make a new address": the one before opens nothing more. */
function renewCalendar(given: Given): RequestHandler {
  return (request, response) => {
    renewCalendarKey(given.books, readForm(request).text('was'));
    response.redirect(303, '/notices#calendar');
  };
}

const siteOf = (given: Given) => pageAddress(given.books.home().household, given.port);
