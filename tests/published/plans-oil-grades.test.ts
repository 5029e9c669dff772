import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { parse } from 'yaml';
import { z } from 'zod';
import { convert, parseQuantity } from '../../src/domain/quantity.js';

// SAE J300 (January 2015), Table 1: at which temperature a winter grade is still thin enough to crank an engine and to be
// pumped. Values read in several independent public reproductions; the standard itself was not opened. It says of
// itself that its test temperature is no recommendation for the coldest start: plans stay on the warm side of it.
const grades = z
  .object({
    w_grades: z.array(z.object({ grade: z.string(), cranking_temp_C: z.number(), pumping_temp_C: z.number() })),
  })
  .parse(JSON.parse(readFileSync(new URL('data/sae-j300.json', import.meta.url), 'utf8'))).w_grades;

const choice = z.object({ grade: z.string(), coldest: z.string().optional() });
const plan = z.object({
  tasks: z.array(
    z.object({ id: z.string(), fluids: z.array(z.object({ choices: z.array(choice).optional() })).optional() }),
  ),
});
const folder = new URL('../../config/plans/', import.meta.url);
const choices = readdirSync(folder).flatMap((file) =>
  plan
    .parse(parse(readFileSync(new URL(file, folder), 'utf8')))
    .tasks.flatMap((task) =>
      (task.fluids ?? []).flatMap((fluid) =>
        (fluid.choices ?? []).map(({ grade, coldest }) => ({ of: `${file} ${task.id}`, grade, coldest })),
      ),
    ),
);
const engineOils = choices.filter(({ grade }) => /^(\d+W-\d+|SAE \d+)$/.test(grade));
const celsius = (text: string) => convert(parseQuantity(text, 'temperature', 'C'), 'C');

test('every plan that names engine oil gives a grade for cold below -20 degrees', () => {
  const plans = new Set(engineOils.map(({ of }) => of.split(' ')[0]));
  expect(plans.size).toBe(4);
  for (const file of plans) {
    const coldest = engineOils
      .filter(({ of }) => of.startsWith(`${file} `))
      .map((one) => celsius(one.coldest ?? '99 C'));
    expect(Math.min(...coldest)).toBeLessThan(-20);
  }
});

describe('engine oils in the plans, against SAE J300', () => {
  test.each(engineOils)('$of: $grade down to $coldest', ({ grade, coldest }) => {
    const limit = celsius(coldest ?? 'none');
    const winter = grades.find((one) => grade.startsWith(`${one.grade}-`));
    if (winter === undefined) {
      // A grade without a W is not tested in the cold: it is for frost-free days.
      expect(grade).toMatch(/^SAE \d+$/);
      expect(limit).toBeGreaterThan(0);
      return;
    }
    expect(limit).toBeGreaterThanOrEqual(winter.cranking_temp_C);
    expect(winter.pumping_temp_C).toBeLessThan(winter.cranking_temp_C);
  });
});
