import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { RequestHandler } from 'express';
import type { Given } from './given.js';
import { mayEnterAll } from './guard/sign-in.js';

/** Pages that help where no signal is. None bears a signed link or an address that is a secret; set-up, notices, letters, records
 *  and devices are left out. */
const keptPages = [
  /^\/$/,
  /^\/machines$/,
  /^\/labels$/,
  /^\/machines\/[^/?]+$/,
  /^\/machines\/[^/?]+\/(reading|label)$/,
  /^\/machines\/[^/?]+\/why\/[^/?]+$/,
  /^\/visits\/[^/?]+\/sheet$/,
];

/** Tells the worker in the browser which answers it may keep a copy of: pages of this list, asked for by somebody who may see all.
 *  A query says what was just written down, so that its page is not kept. */
export function allowCopies(given: Given): RequestHandler {
  return (request, response, next) => {
    const isListed = keptPages.some((path) => path.test(request.originalUrl));
    if (request.method === 'GET' && isListed && mayEnterAll(given, request)) response.set('Keep-Copy', 'yes');
    next();
  };
}

/** The worker of the pages: a browser lets one only be in charge, so that both of its jobs are sent as one script.
 *  At the root, because a worker is in charge of what lies below its own address; asked for anew each time. */
export function sendWorker(webFolder: string): RequestHandler {
  const jobs = ['push-worker.js', 'copies-worker.js'].map((name) => readFileSync(join(webFolder, name), 'utf8'));
  // In a block of its own each: the names of one are none of the other.
  const worker = `'use strict';\n${jobs.map((job) => `{\n${job}}\n`).join('')}`;
  return (_request, response) => {
    response.set('Cache-Control', 'no-cache').type('text/javascript; charset=utf-8').send(worker);
  };
}
