import { describe, expect, test } from 'vitest';
import { cautionLibrary, resolveCaution, signalWords } from './cautions.js';

const cautions = Object.values(cautionLibrary);

describe('the caution library', () => {
  test.each(cautions)('$id says signal, hazard, avoidance and where that is said', (caution) => {
    expect(signalWords).toContain(caution.signal);
    expect(caution.hazard).toMatch(/^[A-Z].*\.$/);
    expect(caution.avoid).toMatch(/^[A-Z].*\.$/);
    expect(caution.source).not.toBe('');
    expect(caution.short).toMatch(/^[^.]{4,45}$/);
    expect(resolveCaution(caution.id)).toBe(caution);
  });

  // Source: ANSI Z535.4-2007 section 4.14.4 (secondary): NOTICE is for what injures nobody.
  test.each(cautions.filter(({ signal }) => signal === 'NOTICE'))(
    '$id, a NOTICE, names damage to things only',
    (caution) => {
      expect(caution.hazard).not.toMatch(/kill|death|burn|skin|eye|hand|limb|lung|hurt|cut/i);
    },
  );

  // Source: ANSI Z535.4-2007 sections 4.14.1 and 4.14.2 (secondary): death or serious injury.
  test('what can kill at once has the strongest words', () => {
    for (const { hazard, signal } of cautions) {
      if (/\b(kills?|killed|crush(es)?|death)\b/i.test(hazard)) expect(['DANGER', 'WARNING']).toContain(signal);
    }
  });
});

test('an unknown caution is refused and names those that are known', () => {
  expect(() => resolveCaution('hot-oli')).toThrow(expect.objectContaining({ code: 'caution-unknown' }));
  expect(() => resolveCaution('constructor')).toThrow(expect.objectContaining({ code: 'caution-unknown' }));
});

test('a caution written out in a plan gets an id from its hazard', () => {
  const own = { signal: 'CAUTION', hazard: 'Nettles by the ramp.', avoid: 'Long trousers.', source: 'seen' } as const;
  expect(resolveCaution(own)).toEqual({ id: 'own-nettles-by-the-ramp', short: 'Nettles by the ramp', ...own });
});
