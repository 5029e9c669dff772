import { expect, test } from 'vitest';
import { today } from '../../tests/stage/letter-scene.js';
import { parseDay } from '../domain/day.js';
import { type Problem, sayProblem } from './problem.js';

const say = (problem: Problem) => sayProblem(problem, today, 'en-GB');
const since = parseDay('2031-03-18');

test.each<[Problem, string]>([
  [
    { kind: 'letter-refused', to: 'Marta', subject: 'Oil', reason: 'no such mailbox' },
    'The message “Oil” to Marta was refused: no such mailbox. It is kept under notices.',
  ],
  [
    { kind: 'letters-waiting', count: 1, since, reason: 'no answer' },
    '1 message has been waiting to go out since Tuesday 18 March: no answer.',
  ],
  [
    { kind: 'letters-waiting', count: 2, since, reason: 'no answer.' },
    '2 messages have been waiting to go out since Tuesday 18 March: no answer.',
  ],
  [
    { kind: 'feed-silent', machine: 'the hill tractor', since },
    'The run-time sensor of the hill tractor was last heard 3 days ago. Until it speaks again the hours are a forecast; a reading off the meter helps.',
  ],
  [
    { kind: 'feed-silent', machine: 'Rosie', since: null },
    'The run-time sensor of Rosie has not been heard yet. Is it switched on, and is its topic right?',
  ],
  [
    { kind: 'clock-doubtful', shows: parseDay('2019-01-01'), lastKnown: today },
    'The clock of this computer shows Tuesday 1 January 2019, but something was stored on Friday 21 March. Nothing is sent until the clock is right.',
  ],
  [
    { kind: 'configuration-kept', faults: 1, first: 'a.yaml:3:1: unknown key' },
    'A changed configuration file has one fault; the settings from before stay in force. First: a.yaml:3:1: unknown key.',
  ],
])('%j is told plainly', (problem, said) => {
  expect(say(problem)).toBe(said);
});

test('a reason from outside stays on one line', () => {
  expect(say({ kind: 'disk', reason: 'no space\r\nleft' })).toBe('Nothing can be stored at present: no space left.');
});
