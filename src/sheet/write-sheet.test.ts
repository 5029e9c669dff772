import { expect, test } from 'vitest';
import { parseDay } from '../domain/day.js';
import { type MachineFacts, noFacts } from '../domain/facts.js';
import type { Machine } from '../domain/machine.js';
import type { Sheet } from '../domain/results/sheet.js';
import type { Visit } from '../domain/results/visit.js';
import type { Task } from '../domain/task.js';
import { writeSheet } from './write-sheet.js';

const day = parseDay('2031-05-10');

function taskOf(id: string, rest: Partial<Task> = {}): Task {
  return {
    id,
    title: `The ${id}`,
    minutes: 10,
    by: 'owner',
    steps: [{ do: `Do the ${id}` }],
    parts: [],
    fluids: [],
    measure: [],
    cautions: [],
    source: 'common practice, no source',
    ...rest,
  };
}

function sheetOf(
  tasks: readonly Task[],
  visit: Partial<Visit> = {},
  facts: Partial<MachineFacts> = {},
  meter: Machine['meter'] = { kind: 'none' },
): Sheet {
  const machine: Machine = {
    id: 'hill-mower',
    name: 'Hill mower',
    planId: 'own',
    has: [],
    covers: [],
    places: [],
    meter,
    expect: { season: 'unknown' },
    since: day,
    gone: false,
    last: {},
    never: {},
    tasks,
  };
  return writeSheet(
    {
      id: 'hill-mower-oil-1',
      machine: machine.id,
      tasks: tasks.map(({ id }) => id),
      leadTask: tasks[0]?.id ?? '',
      pulledForward: [],
      early: [],
      day,
      due: { p10: day, p50: day, p90: day },
      minutes: 0,
      shopping: [],
      buyBy: null,
      revision: 1,
      announced: true,
      kind: 'service',
      askOn: null,
      by: 'owner',
      cause: { kind: 'on-time' },
      pLate: 0,
      ...visit,
    },
    machine,
    { ...noFacts(machine.id), ...facts },
    20,
  );
}

const texts = (sheet: Sheet): string[] =>
  sheet.lines.flatMap((line) => ('text' in line ? [line.text] : 'title' in line ? [line.title] : []));

/** A machine as far as a sheet asks: something on wheels, with tyres and a hood. */
const tyres = taskOf('tyres', { cautions: ['tyre-pressure'] });

test('a sheet of a machine on wheels starts with level ground, implements down, brake on, key out', () => {
  const [heading, ...lines] = sheetOf([tyres]).lines;
  expect(heading).toMatchObject({ kind: 'task', task: 'opening', title: 'Set up and put away', minutes: 20 });
  const words = lines.map((line) => (line.kind === 'step' ? line.text : ''));
  expect(words.join(' ')).toMatch(/level ground.*attachments down.*Brake on.*key out/);
});

test('a hand tool without meter and sump hears nothing of brakes, chocks, keys, levels and hours', () => {
  const cutter = taskOf('cutter', { cautions: ['blade-plug-lead'], needs: { engine: 'warm' } });
  const filter = taskOf('filter', { parts: [{ name: 'fuel filter', quantity: 1 }], cautions: ['fuel-fire'] });
  const words = texts(sheetOf([cutter, filter])).join(' ');
  expect(words).not.toMatch(
    /[Bb]rake|chock|key out|the key|[Ll]evels? again|run down|hour meter|with the hours|[Ii]mplement/,
  );
  expect(words).toMatch(
    /plug lead off until it has to run.*look for drips.*The filter.*start the engine.*look for leaks.*The filter/,
  );
});

test('where an hour meter is, it is written down at the start and asked for at the end', () => {
  const words = texts(sheetOf([tyres], {}, {}, { kind: 'meter', counts: 'clock', changes: [] })).join(' ');
  expect(words).toMatch(/Write down the hour meter.*with the hours/);
});

test('laying up comes last, and nothing starts the engine after it', () => {
  const layUp = taskOf('lay-up', { group: 'storage', fluids: [{ name: 'stabiliser', quantity: '0.1 L' }] });
  const oil = taskOf('oil', { needs: { engine: 'warm' }, fluids: [{ name: 'engine oil', quantity: '1 L' }] });
  const lines = texts(sheetOf([layUp, oil]));
  const last = lines.indexOf('The lay-up');
  expect(last).toBeGreaterThan(lines.indexOf('The oil'));
  expect(lines.slice(last).join(' ')).not.toMatch(/start the engine/);
});

test('minutes are those of the visit: its jobs, what they bring, setting up and putting away', () => {
  const hub = taskOf('hub', { leadsTo: [{ task: 'bolts', at: 'end' }] });
  const sheet = sheetOf([hub, taskOf('bolts')], { tasks: ['hub'] });
  expect(sheet.minutes).toBe(20 + 10 + 10);
  expect(sheet.lines.reduce((sum, line) => sum + (line.kind === 'task' ? line.minutes : 0), 0)).toBe(sheet.minutes);
});

test('a caution stands in full once and is referred to in a few words at later jobs', () => {
  const sheet = sheetOf([
    taskOf('blade', { cautions: ['sharp-edges'] }),
    taskOf('deck', { cautions: ['sharp-edges'] }),
  ]);
  const inFull = sheet.lines.filter((line) => line.kind === 'caution' && line.caution.id === 'sharp-edges');
  expect(inFull).toMatchObject([{ task: 'blade' }]);
  expect(texts(sheet)).toContain('CAUTION: sharp edges, as above step 4.');
});

test('getting to know a machine begins with what tells most, and may be spread over several days', () => {
  const look = { id: 'dry', name: 'joints', specification: { kind: 'look' as const, sound: 'dry' } };
  const tasks = [taskOf('coolant'), taskOf('hoses', { measure: [look] }), taskOf('grease')];
  const sheet = sheetOf([...tasks], { kind: 'getting-to-know' });
  const headings = sheet.lines.flatMap((line) => (line.kind === 'task' ? [line.task] : []));
  expect(headings).toEqual(['opening', 'hoses', 'coolant', 'grease']);
  expect(sheet.head.join(' ')).toMatch(/spread over several days: what is not ticked stays open/);
});

test('a long visit of any kind says that it may be spread over several days, a short one does not', () => {
  const isSpread = (minutes: number) =>
    sheetOf([taskOf('rebuild', { minutes })])
      .head.join(' ')
      .includes('several days');
  expect([isSpread(220), isSpread(221)]).toEqual([false, true]);
});

test('after something was opened: covers, start, leak look, stop, wait, levels, safety switches', () => {
  const oil = taskOf('oil', {
    needs: { engine: 'warm', covers: ['hood'] },
    fluids: [{ name: 'engine oil', quantity: '1.5 L' }],
  });
  const seat = taskOf('seat', {
    group: 'as it stands',
    measure: [{ id: 'seat', name: 'seat switch', specification: { kind: 'test', passes: 'it stops', stopUse: true } }],
  });
  const lines = texts(sheetOf([oil, seat]));
  const at = (pattern: RegExp) => lines.findLastIndex((text) => pattern.test(text));
  const order = [
    /At the end/,
    /Refit and fasten: hood/,
    /start the engine/,
    /look for leaks.*The oil/,
    /Stop the engine/,
    /Wait until/,
    /level again/,
    /again: seat switch/,
  ];
  expect(order.map(at)).toEqual([...order.map(at)].sort((a, b) => a - b));
  expect(order.map(at)).not.toContain(-1);
});

test('where nothing was opened the engine is not started for the end', () => {
  expect(texts(sheetOf([taskOf('tyres')])).join(' ')).not.toMatch(/start the engine|Look for leaks/);
});

test('a task that brings another at the end has it last, with its reason, though the visit does not name it', () => {
  const hub = taskOf('hub', {
    needs: { raised: 'front' },
    leadsTo: [
      { task: 'bolts', at: 'end' },
      { task: 'bolts', afterHours: 5 },
    ],
  });
  const bolts = taskOf('bolts', { needs: { raised: 'none' } });
  const sheet = sheetOf([bolts, taskOf('wash'), hub], { tasks: ['hub', 'wash'] });
  const headings = sheet.lines.flatMap((line) => (line.kind === 'task' ? [[line.task, line.why]] : []));
  expect(headings.at(-1)).toEqual(['bolts', 'because of “The hub”']);
  expect(texts(sheet)).toContain('After 5 h of work: The bolts.');
});

test('a bad finding and a note come back on the next sheet', () => {
  const belt = taskOf('belt', {
    measure: [{ id: 'play', name: 'deflection', specification: { kind: 'range', min: '10 mm', max: '14 mm' } }],
  });
  const sheet = sheetOf(
    [belt],
    {},
    {
      noticed: [{ id: 'n1', atMs: 0, text: 'squeals in the morning', state: 'open', seenTo: null, helped: [] }],
      records: [
        {
          id: 'r1',
          machine: 'hill-mower',
          visit: null,
          tasks: ['belt'],
          day: parseDay('2030-05-11'),
          hours: 60,
          hoursKnown: 'read',
          by: null,
          door: 'page',
          note: null,
          minutes: null,
          findings: [
            {
              task: 'belt',
              measurement: 'play',
              place: null,
              found: '19 mm',
              left: '12 mm',
              verdict: 'out',
              note: null,
            },
          ],
          enteredAtMs: 0,
        },
      ],
    },
  );
  expect(texts(sheet)).toContain('Last time, 2030-05-11: found 19 mm (out), left 12 mm');
  expect(sheet.noticed).toEqual(['squeals in the morning']);
});

test('a visit for the dealer is a list of what to ask for, with no steps and no setting up of ours', () => {
  const gap = { id: 'gap', name: 'valve gap', specification: { kind: 'atMost' as const, max: '0.2 mm' } };
  const valves = taskOf('valves', { by: 'dealer', steps: [{ do: 'Set them' }], measure: [gap] });
  const sheet = sheetOf([valves], { by: 'dealer' });
  expect(sheet.lines.filter((line) => line.kind === 'step')).toEqual([]);
  expect(sheet.minutes).toBe(10);
  expect(sheet.head.join(' ')).toContain('dealer or a licensed workshop');
  expect(texts(sheet).join(' ')).toMatch(/^The valves Ask for valve gap as found and as left/);
});

test('why a task is done now is said: pulled forward, or never known', () => {
  const why = (visit: Partial<Visit>) =>
    sheetOf([taskOf('a')], visit).lines.flatMap((line) =>
      line.kind === 'task' && line.task === 'a' ? [line.why] : [],
    );
  expect(why({ pulledForward: ['a'] })).toEqual(['done early, to share this visit']);
  expect(why({ kind: 'getting-to-know' })).toEqual(['nobody knows when it was done last']);
  expect(why({})).toEqual([null]);
});

test('tools are named once, a torque asks for its wrench, and those for a bad finding are said to be so', () => {
  const bolt = taskOf('bolt', {
    steps: [
      { do: 'a', tool: 'Rag' },
      { do: 'b', tool: 'rag' },
    ],
    measure: [{ id: 'm', name: 'bolt', specification: { kind: 'setTo', value: '40 N m' } }],
    ifOut: { minutes: 5, steps: [{ do: 'c' }], tools: ['pry bar', 'rag'] },
  });
  expect(sheetOf([bolt]).tools).toEqual(['Rag', 'torque wrench', 'pry bar (only if something is out)']);
});

test('a task that the machine no longer has is left out', () => {
  expect(
    sheetOf([taskOf('a')], { tasks: ['a', 'sold-with-the-deck'] }).lines.filter(({ kind }) => kind === 'task'),
  ).toHaveLength(2);
});

test('work that only a bad finding brings says what has to be raised for it, with its danger above', () => {
  const pedal = taskOf('pedal', { ifOut: { minutes: 20, needs: { raised: 'rear' }, steps: [{ do: 'Set the rod' }] } });
  const lines = sheetOf([pedal]).lines.filter((line) => 'task' in line && line.task === 'pedal');
  expect(lines.slice(-4)).toMatchObject([
    { kind: 'caution', caution: { id: 'under-raised-machine' } },
    { kind: 'caution', caution: { id: 'raised-rear-brake' } },
    { kind: 'note', text: expect.stringContaining('raise the rear') },
    { kind: 'if-out', minutes: 20 },
  ]);
});

test('steps that want the engine to run have their own start line, and the hands stay out after it', () => {
  const layUp = taskOf('lay-up', {
    group: 'storage',
    needs: { engine: 'cold' },
    steps: [
      { do: 'Fill it' },
      { do: 'Let it run', needs: { engine: 'running' } },
      { do: 'Oil it', needs: { engine: 'cold' } },
    ],
  });
  const words = texts(sheetOf([layUp])).join(' | ');
  expect(words).toMatch(
    /Fill it \| Outdoors.*start the engine.*Let it run \| Stop the engine.*cold to the touch.*Oil it/,
  );
});

test('before the machine is laid up it runs once more for leaks, and laying up is not among the places', () => {
  const oil = taskOf('oil', { needs: { engine: 'warm' }, fluids: [{ name: 'engine oil', quantity: '1 L' }] });
  const layUp = taskOf('lay-up', { group: 'storage', fluids: [{ name: 'stabiliser', quantity: '0.1 L' }] });
  const lines = texts(sheetOf([layUp, oil]));
  const leaks = lines.findIndex((text) => text.includes('look for leaks'));
  expect(lines[leaks]).toMatch(/opened: The oil\.$/);
  expect(lines.indexOf('The lay-up')).toBeGreaterThan(leaks);
});

test('after a warm run the coolant is not among the levels read at once', () => {
  const levels = taskOf('levels', {
    group: 'as it stands',
    measure: ['engine oil level', 'coolant level'].map((name) => ({
      id: name.replaceAll(' ', '-'),
      name,
      specification: { kind: 'level' as const, marks: 'between the lines' },
    })),
  });
  const oil = taskOf('oil', { needs: { engine: 'warm' }, fluids: [{ name: 'engine oil', quantity: '1 L' }] });
  const words = texts(sheetOf([levels, oil]));
  expect(words).toContain('Read again and top up: engine oil level.');
  expect(words).toContainEqual(expect.stringMatching(/only once the engine is cold: coolant level/));
});

test('a cold tool that laying up runs anyway is not warmed up before it, and starts with a tank that may be empty', () => {
  const hoses = taskOf('hoses', { needs: { engine: 'cold' }, parts: [{ name: 'fuel filter', quantity: 1 }] });
  const layUp = taskOf('lay-up', {
    group: 'storage',
    needs: { engine: 'cold' },
    steps: [{ do: 'Empty it' }, { do: 'Let it run until it stops', needs: { engine: 'running' } }],
  });
  const words = texts(sheetOf([hoses, layUp]));
  expect(words.filter((text) => /until it is warm/.test(text))).toEqual([]);
  expect(words.filter((text) => /only for a moment/.test(text))).toHaveLength(1);
  expect(words.findIndex((text) => /only for a moment/.test(text))).toBeLessThan(words.indexOf('The lay-up'));
  const oil = taskOf('oil', { needs: { engine: 'warm' }, fluids: [{ name: 'engine oil', quantity: '1 L' }] });
  expect(texts(sheetOf([oil, layUp])).filter((text) => /only for a moment/.test(text))).toEqual([]);
});

test('bolts are cracked loose before lifting only where a wheel comes off', () => {
  const scrape = taskOf('scrape', { needs: { raised: 'front' } });
  const wheels = taskOf('wheels', { needs: { raised: 'front' }, cautions: ['wheel-off'] });
  const liftOf = (tasks: Task[]) => texts(sheetOf(tasks)).find((text) => /raise the front/.test(text));
  expect(liftOf([scrape])).toMatch(/^Chock the wheels that stay down/);
  expect(liftOf([scrape, wheels])).toMatch(/^Bolts of wheels that come off are cracked loose first/);
});

test('a first look at a hand tool asks for nothing that only a machine on wheels has', () => {
  const look = taskOf('look', {
    measure: [{ id: 'hose', name: 'hose', specification: { kind: 'look', sound: 'no crack' } }],
  });
  const rolling = taskOf('rolling', { cautions: ['tyre-pressure'] });
  const toWrite = (tasks: Task[]) =>
    texts(sheetOf(tasks, { kind: 'getting-to-know' })).find((text) => text.startsWith('Write down what you see'));
  expect(toWrite([look])).toMatch(/wear, cracks/);
  expect(toWrite([look])).not.toMatch(/tyres|battery/);
  expect(toWrite([look, rolling])).toMatch(/tyres/);
});

test('what may come on top is said in hours and minutes', () => {
  const belt = taskOf('belt', { ifOut: { minutes: 165, steps: [] } });
  expect(sheetOf([belt]).head.join(' ')).toMatch(/^Up to 2 h 45 more, if all that may need adjusting does/);
});

test('waiting for the engine, and opening up that takes longer than the set-up minutes, are said beside the minutes', () => {
  const cold = taskOf('cold', { needs: { engine: 'cold' } });
  expect(sheetOf([cold]).head).toEqual([]);
  const warm = taskOf('warm', { needs: { engine: 'warm' } });
  const after = taskOf('after', { needs: { engine: 'cold' }, after: ['warm'] });
  expect(sheetOf([warm, after]).head).toEqual([
    'Waiting comes on top: about 55 min for the engine to get warm or cold.',
  ]);
  const wide = taskOf('wide', {
    needs: { engine: 'cold', raised: 'front', covers: ['hood', 'screen'], fitted: { loader: 'off' } },
  });
  expect(sheetOf([wide]).head).toEqual([
    'Waiting comes on top: about 10 min for the engine to get warm or cold.',
    'Covers, stands and the like are about 45 min of the work here, more than setting up and putting away holds: plan about 25 min more.',
  ]);
});
