import { expect, test } from 'vitest';
import { parseDay } from '../domain/day.js';
import { type Damage, sayDamage, sayDamageShort, writeDamageLetter } from './damage.js';
import { sayStillElsewhere } from './still.js';

const today = parseDay('2031-03-21');
const damage: Damage = {
  file: '/srv/shed/data/shedbell.sqlite',
  found: 'Tree 7 page 12: invalid page number',
  copy: { file: '/media/stick/shedbell-2031-03-20.sqlite', day: parseDay('2031-03-20') },
  copies: '/media/stick',
  home: '/srv/shed',
  standsStill: true,
};
const say = (over: Partial<Damage> = {}) => sayDamage({ ...damage, ...over }, today, 'en-GB');

test('the newest copy is named with its day, and the command can be pasted', () => {
  const said = say();
  expect(said.before.join(' ')).toContain('made on Thursday 20 March');
  expect(said.command).toBe('shedbell --home /srv/shed restore /media/stick/shedbell-2031-03-20.sqlite');
});

test('blanks and quotes in a path come through a shell as they are', () => {
  const { command } = say({ home: "/srv/ada's shed" });
  expect(command).toBe(`shedbell --home '/srv/ada'\\''s shed' restore /media/stick/shedbell-2031-03-20.sqlite`);
});

test('a service that goes on has to be stopped first, and does not promise to come back by itself', () => {
  const said = [...say({ standsStill: false }).before, ...say({ standsStill: false }).after].join(' ');
  expect(said).toContain('Stop the service first, and start it again afterwards.');
  expect(said).not.toContain('come back by themselves');
  expect(sayDamageShort(say({ standsStill: false }))).toMatch(/restore \S+\.sqlite$/);
});

test('without a whole copy no file is named to be restored', () => {
  const said = say({ copy: null });
  expect(said.before.join(' ')).toContain('No copy that is whole was found in /media/stick.');
  expect(said.command).toBe('shedbell --home /srv/shed restore FILE');
});

test('who reads it elsewhere hears of no path', () => {
  expect(JSON.stringify(sayStillElsewhere(say()))).not.toMatch(/\/srv|\/media/);
});

test('the letter says the same, the command in one piece', () => {
  const letter = writeDamageLetter(say(), 'Weir Cottage');
  expect(letter.subject).toBe('Weir Cottage: the data file is damaged');
  expect(letter.blocks).toContainEqual({ kind: 'typed', text: say().command });
});
