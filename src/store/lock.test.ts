import { spawn } from 'node:child_process';
import { existsSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, it } from 'vitest';
import { takeLock } from './lock.js';

let folder: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'shedbell-lock-'));
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

it('a second start on the same folder is refused and names the first', () => {
  const lock = takeLock(folder, { pid: 4711 });
  expect(() => takeLock(folder, { pid: 4712 })).toThrow(
    expect.objectContaining({ code: 'already-running', found: 'process 4711' }),
  );
  lock.release();
});

it('a lock that was given back can be taken again, and giving it back twice is nothing', () => {
  const first = takeLock(folder, { pid: 1 });
  first.release();
  first.release();
  expect(existsSync(join(folder, 'start.pid'))).toBe(false);
  const second = takeLock(folder, { pid: 2 });
  expect(second.tookOverFrom).toBeNull();
  second.release();
});

it('the lock of a process that was killed is taken over', async () => {
  const sqlite = createRequire(import.meta.url).resolve('better-sqlite3');
  // The holder does what takeLock does, in a process that can be killed.
  const script = `
    const fs = require('node:fs');
    const Database = require(${JSON.stringify(sqlite)});
    const db = new Database(${JSON.stringify(join(folder, 'start.lock'))});
    db.exec('BEGIN EXCLUSIVE');
    fs.writeFileSync(${JSON.stringify(join(folder, 'start.pid'))}, String(process.pid));
    console.log('held');
    setInterval(() => db, 1000);`;
  const holder = spawn(process.execPath, ['-e', script], { stdio: ['ignore', 'pipe', 'inherit'] });
  await new Promise((done) => holder.stdout.once('data', done));
  expect(() => takeLock(folder, { pid: 5 })).toThrow(expect.objectContaining({ code: 'already-running' }));
  const ended = new Promise((done) => holder.once('exit', done));
  holder.kill('SIGKILL');
  await ended;
  const lock = takeLock(folder, { pid: 5 });
  expect(lock.tookOverFrom).toBe(holder.pid);
  lock.release();
});

it('a start without room on the disk is refused before anything is written', () => {
  expect(() => takeLock(folder, { pid: 5, freeBytes: () => 1024 })).toThrow(
    expect.objectContaining({ code: 'disk-full', found: '1 KiB free' }),
  );
  expect(existsSync(join(folder, 'start.lock'))).toBe(false);
});

it('a folder that is not there is made; one that cannot be is a fault in plain words', () => {
  takeLock(join(folder, 'data'), { pid: 5 }).release();
  expect(existsSync(join(folder, 'data', 'start.lock'))).toBe(true);
  writeFileSync(join(folder, 'file'), '');
  expect(() => takeLock(join(folder, 'file', 'data'), { pid: 5 })).toThrow(
    expect.objectContaining({ code: 'store-cannot-open' }),
  );
});
