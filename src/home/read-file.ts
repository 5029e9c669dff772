import { readFileSync, statSync } from 'node:fs';
import { Fault } from '../domain/fault.js';

/** Largest configuration file read, bytes: a plan of a hundred long tasks has a tenth of it. */
const largestBytes = 1_000_000;

/** The text of a configuration file, or the fault that says why it cannot be had. The byte order mark is left out. */
export function readTextFile(file: string): { kind: 'text'; text: string } | { kind: 'fault'; fault: Fault } {
  const fault = (code: string, message: string, remedy: string, found?: string, cause?: unknown) => ({
    kind: 'fault' as const,
    fault: new Fault({ code, message, place: `${file}:1:1`, found, remedy, retry: 'after-fix', cause }),
  });
  let bytes: Buffer;
  try {
    const { size, isFile } = statSize(file);
    // A pipe or a device would be read for ever.
    if (!isFile) return fault('file-unreadable', 'This is not a file', 'Put a plain file here.');
    if (size > largestBytes) {
      return fault(
        'file-too-large',
        'This file is too large for a configuration',
        `Keep it below ${largestBytes / 1000} kB.`,
        `${Math.ceil(size / 1000)} kB`,
      );
    }
    bytes = readFileSync(file);
  } catch (cause) {
    return fault(
      'file-unreadable',
      'This file cannot be read',
      'See whether it is a file and whether this user may read it.',
      systemCode(cause),
      cause,
    );
  }
  try {
    const text = new TextDecoder('utf-8', { fatal: true, ignoreBOM: false }).decode(bytes);
    if (!text.includes('\0')) return { kind: 'text', text };
  } catch {
    // Falls through: the same fault as a text with null bytes.
  }
  return fault('file-not-text', 'This file is not plain text', 'Save it as text in UTF-8.');
}

function statSize(file: string): { size: number; isFile: boolean } {
  const stat = statSync(file);
  return { size: stat.size, isFile: stat.isFile() };
}

/** The operating system's word for what went wrong, such as ENOENT. */
export function systemCode(cause: unknown): string {
  return cause instanceof Error && 'code' in cause ? String(cause.code) : String(cause).slice(0, 60);
}
