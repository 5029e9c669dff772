import type { Field } from './fields.js';

/** The broker of the sensors, the account there, and a thermometer that speaks on it. The password is kept in a file of its own.
 *  @param isKept  a password is there already */
export const brokerFields = (isKept: boolean): readonly Field[] => [
  {
    name: 'url',
    label: 'Broker',
    help: 'Such as mqtt://localhost:1883, or mqtts://broker.example.org:8883 where it is encrypted.',
    kind: 'text',
    path: ['mqtt', 'url'],
    isRequired: true,
  },
  { name: 'user', label: 'User name there', help: 'Empty: it asks for none.', kind: 'text', path: ['mqtt', 'user'] },
  {
    name: 'password',
    label: 'Password there',
    help: `Kept in secrets/broker as soon as you press the button below; only the service may read it, and it is never shown again.${isKept ? ' One is kept: leave this empty unless it changed.' : ''}`,
    kind: 'password',
    path: [],
  },
  {
    name: 'protocol',
    label: 'Version of MQTT',
    kind: 'choice',
    path: ['mqtt', 'protocol'],
    shown: '3.1.1',
    options: [
      { value: '3.1.1', text: '3.1.1, the usual one' },
      { value: '5', text: '5' },
    ],
  },
  {
    name: 'caFile',
    label: 'File with the certificate of its authority',
    help: 'Only for mqtts with a certificate of your own: a PEM file, named from the home folder or in full.',
    kind: 'text',
    path: ['mqtt', 'caFile'],
  },
  {
    name: 'airTopic',
    label: 'Its topic',
    help: 'In full, such as garden/air. From its nights frost days and the coldest night are learnt.',
    kind: 'text',
    path: ['temperature', 'topic'],
    section: 'A thermometer outdoors',
  },
  {
    name: 'airPointer',
    label: 'Where in a JSON message the temperature stands',
    help: 'Such as /temperature; empty: the message is the number.',
    kind: 'text',
    path: ['temperature', 'pointer'],
    section: 'A thermometer outdoors',
  },
  {
    name: 'airUnit',
    label: 'Unit of its numbers',
    kind: 'choice',
    path: ['temperature', 'unit'],
    shown: 'C',
    options: [
      { value: 'C', text: 'degrees Celsius' },
      { value: 'F', text: 'degrees Fahrenheit' },
    ],
    section: 'A thermometer outdoors',
  },
];
