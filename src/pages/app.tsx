import express, { type Express } from 'express';
import { answeredPage, undoAnswer } from './answers-given.js';
import { findAssets, sendAsset } from './assets.js';
import { benchSheetPage, confirmSheet } from './bench-sheet.js';
import { calendarRoutes } from './calendar.js';
import { deviceRoutes } from './devices.js';
import type { Given } from './given.js';
import { guardHeaders } from './guard/headers.js';
import { guardHost } from './guard/host.js';
import { guardOrigin } from './guard/origin.js';
import { limitAll, limitChanges, limitLinks, limitSignIn } from './guard/rate.js';
import { guardSignIn, signIn, signInPage, signOut } from './guard/sign-in.js';
import { sendHealth } from './health.js';
import { hoursPage, undoHours } from './hours-told.js';
import { labelPage } from './label.js';
import { logbookFile, logbookPage } from './logbook.js';
import { machinePage, machinesPage } from './machine.js';
import { monthsAheadPage } from './months-ahead.js';
import { letterPage, noticesPage } from './notices.js';
import { readingForm, takeReading } from './reading.js';
import { readingLink, takeReadingLink } from './reading-link.js';
import { recordPage, undoRecord } from './records.js';
import { setUpRoutes } from './set-up/routes.js';
import { shareSheet } from './sheet-marks.js';
import { stockPage, takeStock } from './stock.js';
import { settleAside, settleNoticed, takeNoticed, takeNotUsed } from './told.js';
import { pageNotFound, troublePage } from './trouble.js';
import { answerVisitLink, visitLink } from './visit-link.js';
import { whyPage } from './why.js';

/** The pages of the service: shown from the last outlook, entries handed to the ledger. Listens on nothing itself. */
export function createApp(given: Given): Express {
  const assets = findAssets(given.webFolder);
  const app = express();
  app.disable('x-powered-by');
  app.disable('etag');

  app.use(guardHost(() => given.books.home().household, given.port));
  app.use(...guardHeaders());
  app.use(limitAll(), limitChanges(), guardOrigin, guardSignIn(given, assets));
  app.get('/web/:name', sendAsset(given.webFolder));
  // A whole bench sheet with its findings and a long note is the one form that outgrows the usual limit.
  app.use('/visits', express.urlencoded({ extended: false, limit: '64kb', parameterLimit: 2000 }));
  app.use(express.urlencoded({ extended: false, limit: '16kb', parameterLimit: 100 }));

  app.get('/sign-in', signInPage(given, assets));
  app.post('/sign-in', limitSignIn(), signIn(given, assets));
  app.post('/sign-out', signOut(given));
  app.get('/', monthsAheadPage(given, assets));
  app.get('/machines', machinesPage(given, assets));
  app.get('/machines/:id', machinePage(given, assets));
  app.get('/machines/:id/reading', readingForm(given, assets));
  app.post('/machines/:id/reading', takeReading(given, assets));
  app.get('/machines/:id/why/:task', whyPage(given, assets));
  app.get('/machines/:id/hours', hoursPage(given, assets));
  app.post('/machines/:id/hours/:entry/undo', undoHours(given));
  app.get('/machines/:id/stock', stockPage(given, assets));
  app.post('/machines/:id/stock', takeStock(given));
  app.get('/machines/:id/label', labelPage(given, assets));
  app.get('/machines/:id/logbook', logbookPage(given, assets));
  app.get('/machines/:id/logbook/:form', logbookFile(given));
  app.post('/machines/:id/aside/:aside', settleAside(given));
  app.post('/machines/:id/not-used', takeNotUsed(given));
  app.post('/machines/:id/noticed', takeNoticed(given));
  app.post('/machines/:id/noticed/:noticed', settleNoticed(given));
  app.get('/visits/:id/sheet', benchSheetPage(given, assets));
  app.post('/visits/:id/sheet', confirmSheet(given, assets));
  app.post('/visits/:id/marks', shareSheet(given));
  app.get('/records/:id', recordPage(given, assets));
  app.post('/records/:id/undo', undoRecord(given, assets));
  app.get('/answered/:id', answeredPage(given, assets));
  app.post('/answered/:id/undo', undoAnswer(given));
  app.use('/set-up', setUpRoutes(given, assets));
  app.get('/notices', noticesPage(given, assets));
  app.get('/notices/:id', letterPage(given, assets));
  app.use(['/v', '/r'], limitLinks());
  app.get('/v/:token', visitLink(given, assets));
  app.post('/v/:token', answerVisitLink(given, assets));
  app.get('/r/:token', readingLink(given, assets));
  app.post('/r/:token', takeReadingLink(given, assets));
  app.use(calendarRoutes(given));
  app.use(deviceRoutes(given, assets));
  app.get('/health', sendHealth(given));

  app.use(pageNotFound(assets));
  app.use(troublePage(assets, given.log));
  return app;
}
