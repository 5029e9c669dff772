import type { Log } from '../../src/domain/outside.js';

/** A log that keeps nothing. */
export const noLog: Log = { error() {}, warn() {}, info() {}, debug() {} };
