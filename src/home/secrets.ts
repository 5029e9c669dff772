import { isAbsolute, join } from 'node:path';
import { Fault } from '../domain/fault.js';
import { readTextFile } from './read-file.js';
import type { KeyPath, YamlFile } from './read-yaml.js';

/** Environment variables, handed in so that tests set their own. */
export type Environment = Readonly<Record<string, string | undefined>>;

/** Where a secret of `smtp` or `mqtt` comes from. */
export interface SecretSource {
  readonly user?: string;
  readonly passwordFile?: string;
  readonly passwordEnv?: string;
}

export interface SecretContext {
  readonly dir: string;
  readonly environment: Environment;
  readonly yaml: YamlFile;
  readonly path: KeyPath;
  /** Faults are added here; what was found in a secret is never part of one. */
  readonly faults: Fault[];
}

/** The password that a file or environment variable holds; null where none is set, or where a fault was added. */
export function readPassword(source: SecretSource, context: SecretContext): string | null {
  const { passwordFile, passwordEnv, user } = source;
  if (passwordFile !== undefined && passwordEnv !== undefined) {
    add(
      context,
      'passwordEnv',
      'secret-twice',
      'The password is given twice',
      'Keep passwordFile or passwordEnv, not both.',
    );
    return null;
  }
  if (user !== undefined && passwordFile === undefined && passwordEnv === undefined) {
    add(
      context,
      'user',
      'secret-missing',
      'A user name needs a password',
      'Add passwordFile: or passwordEnv: beside it.',
    );
    return null;
  }
  if (user === undefined && (passwordFile !== undefined || passwordEnv !== undefined)) {
    const key = passwordFile === undefined ? 'passwordEnv' : 'passwordFile';
    add(context, key, 'channel-unset', 'A password without a user name is of no use', 'Add user: beside it.');
    return null;
  }
  if (passwordFile !== undefined) return readSecretFile(passwordFile, 'passwordFile', context);
  if (passwordEnv === undefined) return null;
  const value = context.environment[passwordEnv];
  if (value !== undefined && value !== '') return value;
  add(
    context,
    'passwordEnv',
    'secret-missing',
    'This environment variable is not set',
    'Set it where the service is started, or use passwordFile.',
    passwordEnv,
  );
  return null;
}

/** Text of a file named in the configuration, from the home folder or in full, without line ends at its end. */
export function readSecretFile(name: string, key: string, context: SecretContext): string | null {
  const file = isAbsolute(name) ? name : join(context.dir, name);
  const read = readTextFile(file);
  if (read.kind === 'fault') {
    const why = read.fault.found === undefined ? '' : ` (${read.fault.found})`;
    const remedy = /^(EACCES|EPERM)$/.test(read.fault.found ?? '') ? letRead(file) : `Put it at ${file}.`;
    add(context, key, 'secret-missing', `The file named here cannot be read${why}`, remedy, name);
    return null;
  }
  const text = read.text.replace(/[\r\n]+$/, '');
  if (text !== '' && (key === 'caFile' || !/[\r\n]/.test(text))) return text;
  const message = text === '' ? 'The file named here is empty' : 'The file named here holds more than one line';
  add(context, key, 'secret-missing', message, `Write the password into ${file}, on one line.`, name);
  return null;
}

/** A file that somebody else made, often root, for themselves alone. */
function letRead(file: string): string {
  const user = process.getuid?.();
  const who = user === undefined ? '' : ` (number ${user})`;
  return `Let the user that the service runs as${who} read ${file} and open its folder.`;
}

function add(context: SecretContext, key: string, code: string, message: string, remedy: string, found?: string): void {
  context.faults.push(
    new Fault({
      code,
      message,
      place: context.yaml.place([...context.path, key]),
      found: found === undefined ? undefined : JSON.stringify(found),
      remedy,
      retry: 'after-fix',
    }),
  );
}
