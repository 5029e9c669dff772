import express, { type Express } from 'express';
import { formatInstant } from '../domain/day.js';
import { answeredPage, undoAnswer } from './answers-given.js';
import { findAssets, sendAsset } from './assets.js';
import { benchSheetPage, confirmSheet } from './bench-sheet.js';
import { calendarRoutes } from './calendar.js';
import type { Given } from './given.js';
import { guardHeaders } from './guard/headers.js';
import { guardHost } from './guard/host.js';
import { guardOrigin } from './guard/origin.js';
import { limitAll, limitChanges, limitLinks } from './guard/rate.js';
import { hoursPage, undoHours } from './hours-told.js';
import { machinePage, machinesPage } from './machine.js';
import { monthsAheadPage } from './months-ahead.js';
import { letterPage, noticesPage } from './notices.js';
import { readingForm, takeReading } from './reading.js';
import { readingLink, takeReadingLink } from './reading-link.js';
import { recordPage, undoRecord } from './records.js';
import { settleAside, settleNoticed, takeNoticed, takeNotUsed } from './told.js';
import { pageNotFound, troublePage } from './trouble.js';
import { answerVisitLink, visitLink } from './visit-link.js';

/** The pages of the service: shown from the last outlook, entries handed to the ledger. Listens on nothing itself. */
export function createApp(given: Given): Express {
  const assets = findAssets(given.webFolder);
  const app = express();
  app.disable('x-powered-by');
  app.disable('etag');

  app.use(guardHost(() => given.books.home().household, given.port));
  app.use(...guardHeaders());
  app.use(limitAll(), limitChanges(), guardOrigin);
  app.get('/web/:name', sendAsset(given.webFolder));
  // A whole bench sheet with its findings and a long note is the one form that outgrows the usual limit.
  app.use('/visits', express.urlencoded({ extended: false, limit: '64kb', parameterLimit: 2000 }));
  app.use(express.urlencoded({ extended: false, limit: '16kb', parameterLimit: 100 }));

  app.get('/', monthsAheadPage(given, assets));
  app.get('/machines', machinesPage(given, assets));
  app.get('/machines/:id', machinePage(given, assets));
  app.get('/machines/:id/reading', readingForm(given, assets));
  app.post('/machines/:id/reading', takeReading(given, assets));
  app.get('/machines/:id/hours', hoursPage(given, assets));
  app.post('/machines/:id/hours/:entry/undo', undoHours(given));
  app.post('/machines/:id/aside/:aside', settleAside(given));
  app.post('/machines/:id/not-used', takeNotUsed(given));
  app.post('/machines/:id/noticed', takeNoticed(given));
  app.post('/machines/:id/noticed/:noticed', settleNoticed(given));
  app.get('/visits/:id/sheet', benchSheetPage(given, assets));
  app.post('/visits/:id/sheet', confirmSheet(given, assets));
  app.get('/records/:id', recordPage(given, assets));
  app.post('/records/:id/undo', undoRecord(given, assets));
  app.get('/answered/:id', answeredPage(given, assets));
  app.post('/answered/:id/undo', undoAnswer(given));
  app.get('/notices', noticesPage(given, assets));
  app.get('/notices/:id', letterPage(given, assets));
  app.use(['/v', '/r'], limitLinks());
  app.get('/v/:token', visitLink(given, assets));
  app.post('/v/:token', answerVisitLink(given, assets));
  app.get('/r/:token', readingLink(given, assets));
  app.post('/r/:token', takeReadingLink(given, assets));
  app.use(calendarRoutes(given));
  app.get('/health', (_request, response) => {
    const { lastTurnAtMs, doubt, problems } = given.health();
    response.status(doubt === null ? 200 : 503).json({
      status: doubt === null ? 'ok' : 'in doubt',
      now: formatInstant(given.books.clock.nowMs()),
      lastTurnAt: lastTurnAtMs === null ? null : formatInstant(lastTurnAtMs),
      problems: problems.length,
    });
  });

  app.use(pageNotFound(assets));
  app.use(troublePage(assets, given.log));
  return app;
}
