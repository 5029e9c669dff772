import { Fault } from '../domain/fault.js';
import type { Household, MqttSettings, Person, SmtpSettings } from '../domain/household.js';
import { isLoopback } from './addresses.js';
import { type HouseholdYaml, householdSchema } from './household-schema.js';
import { emptyFault } from './load-plan.js';
import { readTextFile } from './read-file.js';
import { type KeyPath, readYaml, type YamlFile } from './read-yaml.js';
import { readBySchema } from './schema-faults.js';
import { type Environment, readPassword, readSecretFile, type SecretContext } from './secrets.js';
import { isYearsLong, mostYears } from './span-length.js';

const portOf = { tls: 465, starttls: 587, plain: 25 } as const;

export type HouseholdRead = { kind: 'household'; household: Household } | { kind: 'faults'; faults: Fault[] };

/** Reads and checks household.yaml, the files and variables of its secrets included.
 *  @param dir          the home folder, from which names of files count
 *  @param environment  where passwordEnv is looked up */
export function loadHousehold(dir: string, file: string, environment: Environment): HouseholdRead {
  const read = readTextFile(file);
  if (read.kind === 'fault') return { kind: 'faults', faults: [read.fault] };
  const yamlRead = readYaml(file, read.text);
  if (yamlRead.kind === 'faults') return yamlRead;
  const { yaml } = yamlRead;
  const empty = emptyFault(yaml, 'Write name: and timezone: at least.');
  if (empty !== null) return { kind: 'faults', faults: [empty] };
  const parsed = readBySchema(householdSchema, yaml);
  if (parsed.kind === 'faults') return parsed;
  const faults = checkHousehold(parsed.value, yaml);
  const context = (path: KeyPath): SecretContext => ({ dir, environment, yaml, path, faults });
  const household = buildHousehold(parsed.value, context);
  return faults.length === 0 ? { kind: 'household', household } : { kind: 'faults', faults };
}

/** A household of which nothing is known: nobody in it, and the page on this computer alone. */
export function bareHousehold(): Household {
  return buildHousehold(householdSchema.parse({ name: 'Shedbell', timezone: 'UTC' }), () => {
    throw new RangeError('a bare household has no secrets');
  });
}

function buildHousehold(yaml: HouseholdYaml, context: (path: KeyPath) => SecretContext): Household {
  const { timezone, coldest, daysOff, http, smtp, mqtt, locale, ...rest } = yaml;
  return {
    ...rest,
    zone: timezone,
    locale: locale ?? (yaml.units === 'us' ? 'en-US' : 'en-GB'),
    http: { ...http, host: http.host ?? hostFor(yaml.address) },
    daysOff: daysOff.map((entry) =>
      typeof entry === 'string'
        ? { from: entry, to: entry }
        : { from: entry.from, to: entry.to ?? entry.from, ...(entry.why === undefined ? {} : { why: entry.why }) },
    ),
    ...(coldest === undefined ? {} : { coldestCelsius: coldest }),
    ...(smtp === undefined ? {} : { smtp: buildSmtp(smtp, context(['smtp'])) }),
    ...(mqtt === undefined ? {} : { mqtt: buildMqtt(mqtt, context(['mqtt'])) }),
  };
}

/** An address for other devices is of no use while only this computer can reach the page. */
function hostFor(address: string | undefined): string {
  return address === undefined || isLoopback(new URL(address).hostname) ? '127.0.0.1' : '0.0.0.0';
}

function buildSmtp(yaml: NonNullable<HouseholdYaml['smtp']>, context: SecretContext): SmtpSettings {
  const password = readPassword(yaml, context);
  return {
    host: yaml.host,
    port: yaml.port ?? portOf[yaml.security],
    security: yaml.security,
    from: yaml.from,
    ...(yaml.user === undefined ? {} : { user: yaml.user }),
    ...(password === null ? {} : { password }),
  };
}

function buildMqtt(yaml: NonNullable<HouseholdYaml['mqtt']>, context: SecretContext): MqttSettings {
  const password = readPassword(yaml, context);
  const caPem = yaml.caFile === undefined ? null : readSecretFile(yaml.caFile, 'caFile', context);
  if (caPem !== null && !caPem.includes('-----BEGIN CERTIFICATE-----')) {
    context.faults.push(
      new Fault({
        code: 'value-shape',
        message: 'This file holds no certificate',
        place: context.yaml.place([...context.path, 'caFile']),
        found: JSON.stringify(yaml.caFile),
        remedy: 'Name a file in PEM form; it has a line BEGIN CERTIFICATE.',
        retry: 'after-fix',
      }),
    );
  }
  return {
    url: yaml.url,
    protocol: yaml.protocol === '3.1.1' ? '3.1.1' : '5',
    ...(yaml.user === undefined ? {} : { user: yaml.user }),
    ...(password === null ? {} : { password }),
    ...(caPem === null ? {} : { caPem }),
  };
}

/** What no single key can know: people with the same id, a way to be told that is not set up, spans upside down, an evening within the quiet hours. */
function checkHousehold(yaml: HouseholdYaml, file: YamlFile): Fault[] {
  const faults: Fault[] = [];
  const add = (path: KeyPath, code: string, message: string, found: string, remedy: string) =>
    faults.push(new Fault({ code, message, place: file.place(path), found, remedy, retry: 'after-fix' }));
  const ids = yaml.people.map((person: Person) => person.id);
  yaml.people.forEach(({ id, mail, ways, secondAfterDays, kinds }, index) => {
    if (ids.indexOf(id) !== index) {
      add(
        ['people', index, 'id'],
        'id-twice',
        'Two people have this id',
        `"${id}"`,
        'Give each person an id of their own.',
      );
    }
    if (secondAfterDays !== undefined && kinds !== undefined && !kinds.includes('late')) {
      add(
        ['people', index, 'secondAfterDays'],
        'channel-unset',
        'secondAfterDays is about late notices, which this person does not get',
        String(secondAfterDays),
        'Add late to kinds, or take secondAfterDays out.',
      );
    }
    const needed = [
      {
        way: 'mail',
        isSet: mail !== undefined,
        message: 'These kinds are to come by mail, but this person has no mail address',
        remedy: 'Set mail: with the address beside name:, or take mail out of ways.',
      },
      {
        way: 'topic',
        isSet: yaml.mqtt !== undefined,
        message: 'These kinds are to come on the broker, but none is set',
        remedy: 'Set mqtt: with the url of the broker, or take topic out of ways.',
      },
    ] as const;
    for (const { way, isSet, message, remedy } of needed) {
      const wanted = ways?.[way] ?? [];
      if (isSet || wanted.length === 0) continue;
      add(['people', index, 'ways', way], 'channel-unset', message, wanted.join(', '), remedy);
    }
  });
  if (yaml.temperature !== undefined && yaml.mqtt === undefined) {
    add(
      ['temperature'],
      'channel-unset',
      'The thermometer has no broker',
      yaml.temperature.topic,
      'Set mqtt: with the url of the broker that the thermometer speaks to.',
    );
  }
  yaml.daysOff.forEach((entry, index) => {
    if (typeof entry === 'string' || entry.to === undefined) return;
    if (isYearsLong(entry.from, entry.to)) {
      const long = `Nobody would work on machines for more than ${mostYears} years (from ${entry.from})`;
      add(['daysOff', index, 'to'], 'span-too-long', long, entry.to, 'Correct the year.');
    }
    if (entry.to >= entry.from) return;
    const message = `This span ends before it begins (${entry.from})`;
    add(['daysOff', index, 'to'], 'span-upside-down', message, entry.to, 'Exchange from and to.');
  });
  if (isWithin(yaml.evening, yaml.quiet)) {
    add(
      ['evening'],
      'evening-in-quiet-hours',
      `The evening notice would fall into the quiet hours (${yaml.quiet.from} to ${yaml.quiet.to})`,
      yaml.evening,
      'Choose an earlier evening, or let the quiet hours begin later.',
    );
  }
  return faults;
}

/** Whether a time of day lies in a span that may go over midnight; a span of no length holds nothing. */
function isWithin(time: string, { from, to }: { from: string; to: string }): boolean {
  return from <= to ? time >= from && time < to : time >= from || time < to;
}
