import type { KeyPath, YamlFile } from './read-yaml.js';

/** What somebody most likely meant where YAML read something else, for a fault at its place. */
export interface ValueSlip {
  readonly code?: string;
  readonly message?: string;
  readonly place?: string;
  readonly found?: string;
  readonly remedy: string;
}

const blankMissing = 'A blank is missing behind the colon';

/** An unknown key that was no key: the other half of a number with a comma, or a key and its value run together. */
export function slipOfKey(unknown: string, known: readonly string[], path: KeyPath, yaml: YamlFile): ValueSlip | null {
  const { text, from } = yaml.written(path, unknown);
  const half = /^\d+(?:\.\d+)?/.exec(text.slice(from))?.[0];
  const before = /(-?\d+)(\s*,\s*)$/.exec(text.slice(0, from));
  if (half !== undefined && before !== null && /^\d+(?:\.\d+)?$/.test(unknown)) {
    const whole = before[1] ?? '';
    const at = yaml.position(path, unknown);
    return {
      code: 'number-split',
      message: 'A comma splits this number in two',
      place: `${yaml.file}:${at.line}:${at.column - before[0].length}`,
      found: `${before[0]}${half}`,
      remedy: half.includes('.')
        ? `Write it without a comma: ${whole}${half}.`
        : `Write its decimals behind a point: ${whole}.${half}.`,
    };
  }
  const together = /^([A-Za-z][\w-]*):(.+)$/.exec(unknown);
  if (together?.[1] !== undefined && known.includes(together[1])) {
    return { message: blankMissing, remedy: `Write ${together[1]}: ${together[2]}` };
  }
  return null;
}

/** A value of another kind than is wanted.
 *  @param wanted  what the schema wants there: string, number, array, object, record */
export function slipOfValue(wanted: string, value: unknown, path: KeyPath, yaml: YamlFile): ValueSlip | null {
  const { text, from } = yaml.written(path);
  if (wanted === 'string' && typeof value === 'number') {
    // 18.30 was written, and 18.3 is what a number keeps of it.
    return { found: /^[^\s,}\]#]+/.exec(text.slice(from))?.[0] ?? String(value), remedy: '' };
  }
  if (wanted === 'string' && value === null && /:\s+#/.test(text.slice(from))) {
    return { remedy: 'What stands behind # is a remark: put a text that begins with # in quotes.' };
  }
  if (typeof value !== 'string') return null;
  if ((wanted === 'number' || wanted === 'int') && /^-?\d+,\d+$/.test(value)) {
    return { remedy: `Write its decimals behind a point: ${value.replace(',', '.')}.` };
  }
  if (wanted === 'array') {
    if (/^-[^\s-]/.test(value))
      return { message: 'A blank is missing behind the dash', remedy: `Write - ${value.slice(1)}` };
    return /[[\]{}:#\n]/.test(value) ? null : { remedy: `Put brackets around it: [${value}].` };
  }
  const together = /^([A-Za-z][\w-]*):(\S+)$/.exec(value);
  if ((wanted === 'object' || wanted === 'record') && together !== null) {
    return { message: blankMissing, remedy: `Write ${together[1]}: ${together[2]}` };
  }
  return null;
}
