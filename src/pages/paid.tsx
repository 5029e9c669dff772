import type { RequestHandler } from 'express';
import { Fault } from '../domain/fault.js';
import { type PaidSaid, sayPaid } from '../ledger/say-paid.js';
import type { Assets } from './assets.js';
import type { Given } from './given.js';
import { readForm } from './guard/form.js';
import { sendPage } from './layout.js';
import { readPaid } from './paid-fields.js';
import { findRecord, WrittenDown } from './records.js';

/** Takes what was paid for a record; empty fields take back what was said. */
export function takePaid(given: Given, assets: Assets): RequestHandler<{ id: string }> {
  return (request, response) => {
    const form = readForm(request);
    const { record, shown } = findRecord(given, request.params.id);
    const again = (fault: Fault) =>
      sendPage(response, 400, <WrittenDown record={record} shown={shown} assets={assets} form={form} fault={fault} />);
    let said: PaidSaid | null;
    try {
      said = readPaid(form, shown.household);
    } catch (failure) {
      if (failure instanceof Fault) return again(failure);
      throw failure;
    }
    const outcome = sayPaid(given.books, record.id, said, null, form.key);
    if (outcome.kind === 'refused') return again(outcome.fault);
    if (outcome.kind !== 'already') given.changed();
    response.redirect(303, `/records/${record.id}`);
  };
}
