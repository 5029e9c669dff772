import { weekdays } from '../../domain/day.js';
import { noticeKinds } from '../../domain/household.js';
import type { Field, Option } from './fields.js';

const dayNames: Readonly<Record<(typeof weekdays)[number], string>> = {
  mon: 'Monday',
  tue: 'Tuesday',
  wed: 'Wednesday',
  thu: 'Thursday',
  fri: 'Friday',
  sat: 'Saturday',
  sun: 'Sunday',
};

/** What each kind of message is about. */
const kindNames: Readonly<Record<(typeof noticeKinds)[number], string>> = {
  parts: 'parts to buy',
  work: 'work to do',
  late: 'work that is late',
  reading: 'questions about the hour meter',
  season: 'seasons',
  trouble: 'the service itself is ill',
};

const kindOptions = noticeKinds.map((kind): Option => ({ value: kind, text: kindNames[kind] }));

/** Who lives here and when they work on machines. */
export const householdFields: readonly Field[] = [
  { name: 'name', label: 'Name of the household', kind: 'text', path: ['name'], isRequired: true },
  {
    name: 'timezone',
    label: 'Time zone',
    help: 'By its IANA name, such as Europe/Lisbon.',
    kind: 'text',
    path: ['timezone'],
    isRequired: true,
  },
  {
    name: 'units',
    label: 'Units',
    kind: 'choice',
    path: ['units'],
    shown: 'metric',
    options: [
      { value: 'metric', text: 'metric' },
      { value: 'us', text: 'US' },
    ],
  },
  {
    name: 'currency',
    label: 'Currency',
    help: 'By its ISO 4217 code, such as EUR; with it a visit asks what was paid. Without it nothing asks.',
    kind: 'text',
    path: ['currency'],
  },
  {
    name: 'hemisphere',
    label: 'Winter is',
    kind: 'choice',
    path: ['hemisphere'],
    shown: 'north',
    options: [
      { value: 'north', text: 'about January' },
      { value: 'south', text: 'about July' },
    ],
  },
  {
    name: 'workingDays',
    label: 'Days on which you work on machines',
    kind: 'several',
    path: ['workingDays'],
    options: weekdays.map((day): Option => ({ value: day, text: dayNames[day] })),
  },
  {
    name: 'evening',
    label: 'Messages about tomorrow come at',
    help: 'Without it: 18:30.',
    kind: 'time',
    path: ['evening'],
  },
  {
    name: 'address',
    label: 'How your phone reaches this computer',
    help: 'Such as http://shed.local:8377; without it, links in messages open on this computer only.',
    kind: 'text',
    path: ['address'],
  },
  {
    name: 'frostFirst',
    label: 'Average day of the first frost',
    help: 'Month and day, such as 10-20.',
    kind: 'text',
    path: ['frost', 'first'],
  },
  {
    name: 'frostLast',
    label: 'Average day of the last frost',
    help: 'Such as 04-25.',
    kind: 'text',
    path: ['frost', 'last'],
  },
  {
    name: 'coldest',
    label: 'Coldest night that you expect',
    help: 'Such as -12 C or 10 F; it decides the grade of oil.',
    kind: 'text',
    path: ['coldest'],
  },
];

/** Which ways out are set up, and whether a device asked for this person's messages. */
export interface Reach {
  readonly hasServer: boolean;
  readonly hasBroker: boolean;
  readonly hasDevice: boolean;
}

/** The ways out that a person can choose, and what is to be known of each. */
function wayFields(index: number, { hasServer, hasBroker, hasDevice }: Reach): readonly Field[] {
  const ways = [
    {
      way: 'mail',
      label: 'By mail come',
      help: `Nothing ticked here and in the two lists below: everything by mail, and on devices that asked.${hasServer ? '' : ' No mail server is set up: until then these are kept as files.'}`,
    },
    {
      way: 'push',
      label: 'On devices come',
      help: hasDevice
        ? 'On the phones and computers that asked for this person’s messages.'
        : 'No device has asked yet: open “Devices and signing out” on the device itself. Until then these come by mail, or are kept as files.',
    },
    {
      way: 'topic',
      label: 'On the broker come',
      help: hasBroker
        ? 'For other programs in the house, on shedbell/notice.'
        : 'For other programs in the house. No broker is set up: name it on the page for it first.',
    },
  ];
  return ways.map(({ way, label, help }) => ({
    name: `by-${way}`,
    label,
    help,
    kind: 'several',
    path: ['people', index, 'ways', way],
    options: kindOptions,
  }));
}

/** One person who is told.
 *  @param index  of the person in the file's list
 *  @param isNew  not in the list yet */
export function personFields(index: number, isNew: boolean, reach: Reach): readonly Field[] {
  const at = (...key: string[]) => ['people', index, ...key];
  // A new person is one entry of the list, not one line after the other.
  const entry = isNew ? { entry: { list: ['people'], begins: {} } } : {};
  const fields: readonly Field[] = [
    {
      name: 'id',
      label: 'Short name for the file',
      help: 'Lower case, such as ann.',
      kind: 'text',
      path: at('id'),
      isRequired: true,
    },
    { name: 'name', label: 'Name', kind: 'text', path: at('name'), isRequired: true },
    {
      name: 'mail',
      label: 'Mail address',
      help: 'Without it, messages are kept as files and on the page.',
      kind: 'text',
      path: at('mail'),
    },
    {
      name: 'kinds',
      label: 'Told of',
      help: 'Nothing ticked: of everything.',
      kind: 'several',
      path: at('kinds'),
      options: kindOptions,
    },
    {
      name: 'second',
      label: 'Told of late work only after so many days',
      help: 'For a second pair of hands, such as 14; empty: at once.',
      kind: 'number',
      path: at('secondAfterDays'),
    },
    ...wayFields(index, reach),
  ];
  return fields.map((field) => ({ ...field, ...entry }));
}

/** The mail server, and the account there. Its password is kept in a file of its own.
 *  @param isKept  a password is there already */
export const mailFields = (isKept: boolean): readonly Field[] => [
  {
    name: 'host',
    label: 'Mail server',
    help: 'Such as smtp.example.org.',
    kind: 'text',
    path: ['smtp', 'host'],
    isRequired: true,
  },
  {
    name: 'port',
    label: 'Port',
    help: 'Without it: 465 for tls, 587 for starttls, 25 for plain.',
    kind: 'number',
    path: ['smtp', 'port'],
  },
  {
    name: 'security',
    label: 'Security',
    kind: 'choice',
    path: ['smtp', 'security'],
    shown: 'starttls',
    options: [
      { value: 'starttls', text: 'starttls' },
      { value: 'tls', text: 'tls, from the first byte' },
      { value: 'plain', text: 'plain, only on your own network' },
    ],
  },
  {
    name: 'from',
    label: 'Sender of the messages',
    help: 'Most mail servers want the address of the account.',
    kind: 'text',
    path: ['smtp', 'from'],
    isRequired: true,
  },
  { name: 'user', label: 'User name there', kind: 'text', path: ['smtp', 'user'] },
  {
    name: 'password',
    label: 'Password there',
    help: `Kept in secrets/mail as soon as you press the button below; only the service may read it, and it is never shown again.${isKept ? ' One is kept: leave this empty unless it changed.' : ''}`,
    kind: 'password',
    path: [],
  },
];
