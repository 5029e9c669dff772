import { z } from 'zod';
import { weekdays } from '../domain/day.js';
import { Fault } from '../domain/fault.js';
import { noticeKinds } from '../domain/household.js';
import { currencyNamed } from '../domain/money.js';
import {
  day,
  id,
  jsonPointer,
  mailAddress,
  monthDay,
  mqttTopic,
  quantityIn,
  readWith,
  shaped,
  timeOfDay,
  words,
  zone,
} from './scalars.js';
import { yamlMap } from './yaml-map.js';

const portNumber = () => z.int().min(1).max(65_535);
const environmentName = () =>
  shaped(
    /^[A-Za-z_][A-Za-z0-9_]*$/,
    'This is not a name of an environment variable',
    'Write it such as MAIL_PASSWORD.',
  );
const hostName = () =>
  shaped(
    /^(?:[A-Za-z0-9_-]+(?:\.[A-Za-z0-9_-]+)*\.?|[0-9A-Fa-f:.]+)$/,
    'This is not a host name or address',
    'Write it such as mail.example.org or 192.168.1.20.',
    253,
  );

const kindsBy = (way: string) =>
  z.array(z.enum(noticeKinds)).describe(`Kinds that come ${way}, such as [work, late].`).exactOptional();

const person = yamlMap({
  id: id().describe('Short id of the person, such as ann.'),
  name: words(80).describe('Name of the person, as messages call them.'),
  mail: mailAddress()
    .describe('Mail address, such as ann@example.org; without it, messages are kept in data/outbox.')
    .exactOptional(),
  kinds: z
    .array(z.enum(noticeKinds))
    .min(1)
    .describe(`Kinds of message this person gets: ${noticeKinds.join(', ')}. Without it: all.`)
    .exactOptional(),
  ways: yamlMap({
    mail: kindsBy('by mail'),
    push: kindsBy('to the devices that asked for it'),
    topic: kindsBy('on the broker, on shedbell/notice'),
  })
    .describe('Which kinds come by which way: mail, push, topic. Without it: all by mail and push.')
    .exactOptional(),
  secondAfterDays: z
    .int()
    .min(1)
    .max(365)
    .describe('Days after the first late notice before this person is told too, such as 14.')
    .exactOptional(),
});

const smtp = yamlMap({
  host: hostName().describe('The mail server that takes your mail, such as smtp.example.org.'),
  port: portNumber().describe('Its port; without it 465 for tls, 587 for starttls, 25 for plain.').exactOptional(),
  security: z
    .enum(['tls', 'starttls', 'plain'])
    .describe('tls (from the first byte), starttls or plain; plain only on your own network.')
    .default('starttls'),
  user: words(200).describe('User name at the mail server.').exactOptional(),
  passwordFile: words(1000)
    .describe('File that holds the password, from this folder or in full, such as secrets/mail.')
    .exactOptional(),
  passwordEnv: environmentName()
    .describe('Environment variable that holds the password, such as MAIL_PASSWORD.')
    .exactOptional(),
  from: mailAddress().describe('Sender of the messages; most mail servers want the address of the account.'),
});

const mqtt = yamlMap({
  url: readWith(brokerUrl).describe('The broker, such as mqtt://localhost:1883 or mqtts://broker.example.org:8883.'),
  user: words(200).describe('User name at the broker.').exactOptional(),
  passwordFile: words(1000)
    .describe('File that holds the password, from this folder or in full, such as secrets/broker.')
    .exactOptional(),
  passwordEnv: environmentName()
    .describe('Environment variable that holds the password, such as BROKER_PASSWORD.')
    .exactOptional(),
  caFile: words(1000).describe("File with the certificate of the broker's authority (PEM).").exactOptional(),
  protocol: z
    .union([z.enum(['3.1.1', '5']), z.literal(5)])
    .describe('MQTT version: 3.1.1 or 5.')
    .default('3.1.1'),
});

const dayOff = yamlMap({
  from: day().describe('First day off, such as 2027-07-19.'),
  to: day().describe('Last day off; without it, the one day.').exactOptional(),
  why: words(200).describe('What for, such as holidays.').exactOptional(),
});

/** household.yaml: who lives here, when they work on machines, how they are told. */
export const householdSchema = yamlMap({
  name: words(80).describe('Name of the household, as messages call it, such as Hill Cottage.'),
  timezone: zone().describe('Time zone by its IANA name, such as Europe/Lisbon.'),
  units: z.enum(['metric', 'us']).describe('Units that messages and sheets use: metric or us.').default('metric'),
  locale: readWith(locale).describe('How days and numbers are written, such as en-GB or en-US.').exactOptional(),
  currency: readWith(currencyNamed)
    .describe('Currency of what you pay, by its ISO 4217 code, such as EUR; without it, nothing asks for prices.')
    .exactOptional(),
  hemisphere: z.enum(['north', 'south']).describe('north or south: when winter is.').default('north'),
  address: readWith(pageAddress)
    .describe('How other devices reach the page, such as http://shed.local:8377; without it, links open here only.')
    .exactOptional(),
  http: yamlMap({
    host: hostName()
      .describe('Address to listen on: 127.0.0.1 for this computer only, 0.0.0.0 for your network.')
      .exactOptional(),
    port: portNumber().describe('Port of the page, such as 8377.').default(8377),
    askHere: z
      .boolean()
      .describe('true: this computer itself is asked for the password too, as behind a proxy here that adds no header.')
      .exactOptional(),
    proxy: yamlMap({
      addresses: z
        .array(shaped(/^[0-9A-Fa-f.:]{2,45}$/, 'This is not an address', 'Write its number, such as 192.0.2.7.'))
        .min(1)
        .describe('Addresses of the proxy; the header counts from nowhere else, such as [127.0.0.1].'),
      userHeader: shaped(
        /^[A-Za-z][A-Za-z0-9-]{1,60}$/,
        'This is not a header',
        'Write it such as Remote-User.',
      ).describe(
        'Header in which it names who signed in there, such as Remote-User; it must drop the same header of others.',
      ),
    })
      .describe('A proxy that signs people in itself: addresses and userHeader.')
      .exactOptional(),
  })
    .describe('Where the page listens: host and port; whom it asks for the password: askHere, proxy.')
    .default({ port: 8377 }),
  people: z.array(person).describe('The people who are told, each with id and name.').default([]),
  workingDays: z
    .array(z.enum(weekdays))
    .min(1)
    .describe('Days on which you work on machines, such as [sat, sun].')
    .default(['sat', 'sun']),
  daysOff: z
    .array(z.union([day(), dayOff]))
    .describe('Days, or spans from day to day, on which nobody works on machines.')
    .default([]),
  evening: timeOfDay().describe('When the notice about tomorrow goes out, such as 18:30.').prefault('18:30'),
  quiet: yamlMap({
    from: timeOfDay().describe('No message from this time on, such as 21:30.'),
    to: timeOfDay().describe('Messages again from this time, such as 07:00.'),
  })
    .describe('Times between which no message goes out: from and to.')
    .prefault({ from: '21:30', to: '07:00' }),
  backup: yamlMap({
    folder: words(1000)
      .describe('Folder of the nightly backups, from this folder or in full, such as /media/stick/shedbell.')
      .default('data/backups'),
    keep: z.int().min(1).max(1000).describe('How many nights are kept, such as 14.').default(14),
  })
    .describe('The nightly backup: folder and keep.')
    .prefault({}),
  smtp: smtp.describe('Mail server; without it, messages are kept as files in data/outbox.').exactOptional(),
  mqtt: mqtt.describe('Broker of the run-time sensors.').exactOptional(),
  frost: yamlMap({
    first: monthDay().describe('Average day of the first frost, such as 10-20.').exactOptional(),
    last: monthDay().describe('Average day of the last frost, such as 04-25.').exactOptional(),
  })
    .describe('Average days of frost: first and last, as month-day.')
    .exactOptional(),
  coldest: quantityIn('temperature', 'C')
    .describe('Coldest night that you expect, such as -12 C or 10 F; decides the grade of oil.')
    .exactOptional(),
  temperature: yamlMap({
    topic: mqttTopic().describe('Topic of a thermometer outdoors, in full, such as garden/air.'),
    pointer: jsonPointer()
      .describe('Where in a JSON payload the temperature stands, such as /temperature; without it, the payload itself.')
      .exactOptional(),
    unit: z.enum(['C', 'F']).describe('Unit of its numbers: C or F.').default('C'),
  })
    .describe('Thermometer on the broker: frost days and the coldest night are learnt from it.')
    .exactOptional(),
  setUpMinutes: z
    .number()
    .min(0)
    .max(600)
    .describe('Minutes that any work costs before it begins: fetching tools, changing clothes.')
    .default(20),
});

export type HouseholdYaml = z.output<typeof householdSchema>;

function locale(text: string): string {
  const fault = (cause?: unknown) =>
    new Fault({
      code: 'locale-unknown',
      message: 'This way of writing days and numbers is not known here',
      found: JSON.stringify(text.slice(0, 40)),
      remedy: 'Write a language and a country, such as en-GB or en-US.',
      cause,
    });
  try {
    const known = Intl.DateTimeFormat.supportedLocalesOf([text])[0];
    if (known !== undefined) return known;
  } catch (cause) {
    throw fault(cause);
  }
  throw fault();
}

/** `http(s)://host[:port]` without a trailing slash. A user name in it would end up in every message. */
function pageAddress(text: string): string {
  const url = parseUrl(text);
  const isPlain =
    url !== null &&
    /^https?:$/.test(url.protocol) &&
    url.username === '' &&
    url.password === '' &&
    url.pathname === '/' &&
    url.search === '' &&
    url.hash === '';
  if (isPlain) return `${url.protocol}//${url.host}`;
  throw new Fault({
    code: 'address-unusable',
    message: 'This is not the address of a page',
    ...(url !== null && url.password !== '' ? {} : { found: JSON.stringify(text.slice(0, 80)) }),
    remedy: 'Write http:// or https://, a name or number, and the port, such as http://shed.local:8377.',
  });
}

function brokerUrl(text: string): string {
  const url = parseUrl(text);
  const remedy = 'Write it such as mqtt://localhost:1883; user and password have keys of their own.';
  if (url !== null && (url.username !== '' || url.password !== '')) {
    throw new Fault({
      code: 'secret-inline',
      message: 'User and password do not belong in the url',
      found: 'not shown',
      remedy,
    });
  }
  if (url === null || !/^(mqtts?|wss?):$/.test(url.protocol) || url.hostname === '') {
    throw new Fault({
      code: 'address-unusable',
      message: 'This is not the url of a broker',
      found: /@/.test(text) ? 'not shown' : JSON.stringify(text.slice(0, 80)),
      remedy,
    });
  }
  return text;
}

function parseUrl(text: string): URL | null {
  return /^[\x21-\x7e]{1,500}$/.test(text) && URL.canParse(text) ? new URL(text) : null;
}
