import { readFileSync } from 'node:fs';
import { afterEach, describe, expect, test } from 'vitest';
import { topicStates } from '../../src/formats/topic-states.js';
import { loadHome } from '../../src/home/load-home.js';
import { removeHome, stageCommandHome } from '../stage/command.js';
import { stageBooks, stagedHome, stageOutlook, stageVisit } from '../stage/ledger-books.js';

const readme = readFileSync(new URL('../../README.md', import.meta.url), 'utf8');
const closers: (() => void)[] = [];
afterEach(() => {
  for (const close of closers.splice(0)) close();
});

describe('the README', () => {
  const feeds = readme.match(/^ {4}feed: \{.*\}/gm) ?? [];

  test('shows all four kinds of sensor', () => {
    expect(feeds.map((line) => /kind: ([a-z-]+)/.exec(line)?.[1]).sort()).toEqual([
      'meter-hours',
      'run-seconds',
      'running',
      'voltage',
    ]);
  });

  test.each(feeds)('shows a sensor that passes the checks: %s', (line) => {
    const dir = stageCommandHome({
      'household.yaml': `name: Weir Cottage\ntimezone: Europe/Lisbon\npeople: [{ id: rui, name: Rui }]\n${/^ {4}(mqtt:\n(?: {6}.*\n)+)/m.exec(readme)?.[1]?.replace(/^ {4}/gm, '')}`,
      'machines/hand-tiller.yaml': `name: Hand tiller\nplan: library:small-petrol-engine-tool\nsince: 2031-01-01\nhas: [four-stroke]\nlast: fine-as-bought\n${line.trim()}\n`,
    });
    closers.push(() => removeHome(dir));
    const loaded = loadHome(dir, {});
    expect(loaded.kind === 'faults' ? loaded.faults.map((fault) => fault.line) : []).toEqual([]);
    expect(loaded).toMatchObject({ home: { household: { mqtt: { protocol: '5' } } } });
  });

  test('shows the states on the broker with the keys that they have', () => {
    const outlook = stageOutlook(stageBooks(), [stageVisit('meadow-mower-blades-1', ['blades'])]);
    const states = topicStates(stagedHome, outlook, new Map(), []);
    const keysOf = (text: string) => Object.keys(JSON.parse(text)).sort();
    const shown = [...readme.matchAll(/^ {4}shedbell\/[a-z-]+\/([a-z]+)\n {4}(\{.*\})$/gm)];
    expect(shown.map(([, kind]) => kind)).toEqual(['hours', 'due', 'visit', 'problem']);
    for (const [, kind, example = ''] of shown) {
      const [, real = ''] = [...states].find(([topic]) => topic.endsWith(`/${kind}`)) ?? [];
      expect(keysOf(example)).toEqual(keysOf(real));
    }
  });
});
