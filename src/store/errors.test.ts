import { expect, it } from 'vitest';
import { Fault } from '../domain/fault.js';
import { storeErrors, storeFault } from './errors.js';

it.each([
  ['SQLITE_FULL', 'disk-full'],
  ['ENOSPC', 'disk-full'],
  ['SQLITE_READONLY', 'store-read-only'],
  ['SQLITE_READONLY_DIRECTORY', 'store-read-only'],
  ['EROFS', 'store-read-only'],
  ['SQLITE_CANTOPEN', 'store-cannot-open'],
  ['EACCES', 'store-cannot-open'],
  ['SQLITE_CORRUPT_INDEX', 'store-corrupt'],
  ['SQLITE_NOTADB', 'store-corrupt'],
  ['SQLITE_BUSY_SNAPSHOT', 'store-busy'],
  ['SQLITE_IOERR_FSYNC', 'disk-error'],
  ['SQLITE_CONSTRAINT_UNIQUE', 'store-refused'],
])('%s is told as %s, with a remedy', (code, told) => {
  const fault = storeFault(Object.assign(new Error('said so'), { code }), '/data/x.sqlite');
  expect(fault).toBeInstanceOf(Fault);
  expect(fault).toMatchObject({ code: told, place: '/data/x.sqlite', found: `${code}: said so` });
  expect(fault instanceof Fault && (fault.remedy ?? '').length).toBeGreaterThan(10);
  expect(Object.keys(storeErrors)).toContain(told);
});

it('what is no fault of the disk comes back as it was', () => {
  const bug = new RangeError('not the disk');
  expect(storeFault(bug, 'x')).toBe(bug);
});
