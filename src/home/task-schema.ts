import { z } from 'zod';
import { signalWords } from '../domain/cautions.js';
import { id, idKey, monthDay, quantityIn, quantityText, unitText, words } from './scalars.js';
import { yamlMap } from './yaml-map.js';

const minutes = () => z.number().min(0).max(1440);
const positive = () => z.number().positive().max(100_000);

const caution = z.union([
  id(),
  yamlMap({
    signal: z.enum(signalWords).describe(`Signal word: ${signalWords.join(', ')}.`),
    hazard: words().describe('What can hurt, and how.'),
    avoid: words().describe('How to avoid it.'),
    source: words().describe('Where that is said.'),
  }),
]);

const engine = z
  .enum(['cold', 'warm', 'running', 'brief', 'off', 'any'])
  .describe('Engine: cold, warm, running, brief (a short start), off or any.')
  .exactOptional();
const covers = z
  .array(id())
  .describe('Covers that must be off, from the list covers:; [] where all must be on.')
  .exactOptional();
const battery = z.enum(['connected', 'disconnected']).describe('Battery: connected or disconnected.').exactOptional();

const needs = yamlMap({
  engine,
  raised: z.enum(['none', 'front', 'rear', 'any']).describe('Raised end: none, front, rear or any.').exactOptional(),
  covers,
  fitted: z
    .record(idKey(), z.enum(['on', 'off']))
    .describe('Fittings that must be on or off, such as { loader: off }.')
    .exactOptional(),
  battery,
});

const step = z.union([
  words(600).transform((text) => ({ do: text })),
  yamlMap({
    do: words(600).describe('What the hands do, in one sentence.'),
    where: words(200).describe('Where on the machine, such as left side.').exactOptional(),
    tool: words(200).describe('The tool it needs, such as 17 mm socket.').exactOptional(),
    caution: caution.describe('A caution that stands directly above this step: an id, or written out.').exactOptional(),
    unattended: minutes().describe('Minutes that pass without a hand, such as 10 for draining.').exactOptional(),
    needs: yamlMap({ engine, covers, battery })
      .describe('State of the machine that this step wants beyond its task, such as { engine: running }.')
      .exactOptional(),
    last: z.literal(true).describe('true: done after the measurements, such as a trial.').exactOptional(),
  }),
]);

export const part = yamlMap({
  name: words(120).describe('Name of the part, such as engine oil filter.'),
  quantity: z.number().min(0).max(1000).describe('How many, such as 1; 0 on a machine leaves it out.').default(1),
  number: z.string().max(60).describe('Your part number, in quotes; left empty in a plan.').exactOptional(),
  leadDays: z.int().min(0).max(365).describe('Days from ordering to having it, such as 7.').exactOptional(),
});

export const fluid = yamlMap({
  name: words(120).describe('Name of the fluid, such as engine oil.'),
  quantity: quantityText(['volume', 'mass'], -1).describe('How much, with its unit, such as 4.2 L or 50 g.'),
  fillFirst: quantityText(['ratio'], 0)
    .describe('Share to fill before looking at the level, such as 90 %.')
    .exactOptional(),
  must: words(200).describe('A demand; any other fluid gets a warning.').exactOptional(),
  choices: z
    .array(
      yamlMap({
        grade: words(60).describe('Grade, such as 5W-40.'),
        coldest: quantityText(['temperature'])
          .describe('Coldest temperature until the next change, such as -25 C.')
          .exactOptional(),
      }),
    )
    .min(1)
    .describe('Grades by coldest expected temperature; a preference.')
    .exactOptional(),
  leadDays: z.int().min(0).max(365).describe('Days from ordering to having it, such as 7.').exactOptional(),
});

const limit = {
  hours: positive().describe('Engine hours, such as 150.').exactOptional(),
  months: z.int().min(1).max(600).describe('Calendar months, such as 18.').exactOptional(),
};
const atLeastOne = (value: object) => Object.keys(value).length > 0;
const noLimit = { error: 'At least one of hours and months is wanted here' };

/** Everything about a task but its id and its measurements, which the machine's overrides treat in their own way. */
export const taskShape = {
  title: words(120).describe('What is done, such as Change engine oil and filter.'),
  group: words(60).describe('Part of the machine, such as engine.').exactOptional(),
  every: z
    .union([z.literal('use'), yamlMap(limit).refine(atLeastOne, noLimit)])
    .describe('Interval: hours and months, whichever comes first, such as { hours: 150, months: 18 }; or use.')
    .exactOptional(),
  first: yamlMap(limit)
    .refine(atLeastOne, noLimit)
    .describe('First time on a new machine (break-in), such as { hours: 30 }.')
    .exactOptional(),
  season: yamlMap({
    before: z
      .union([z.enum(['first-frost', 'last-frost']), monthDay()])
      .describe('first-frost, last-frost, or a day of the year such as 10-20.'),
    days: z.int().min(0).max(183).describe('Days before it, such as 21.').default(0),
    nightsBelow: quantityIn('temperature', 'C')
      .describe('A night this cold by the household’s thermometer brings it at once, such as 3 C or 37 F.')
      .exactOptional(),
  })
    .describe('Once a year, some days before a date: before, days and nightsBelow.')
    .exactOptional(),
  when: z.literal('noticed').describe('noticed: only a note or an out finding brings it.').exactOptional(),
  tolerance: yamlMap({
    earlyHours: z.number().min(0).max(10_000).describe('Hours it may be early without talk.').exactOptional(),
    lateHours: z
      .number()
      .min(0)
      .max(10_000)
      .describe('Hours past the limit that still count as on time.')
      .exactOptional(),
  })
    .describe('What still counts as on time: earlyHours and lateHours.')
    .exactOptional(),
  has: z.array(id()).describe('Fittings without which the task is left out, such as [oil-cooler].').exactOptional(),
  minutes: minutes().describe('Minutes of work, such as 35.').default(15),
  by: z.enum(['owner', 'dealer']).describe('Who does it: owner or dealer.').default('owner'),
  needs: needs.describe('State of the machine that the work wants.').exactOptional(),
  after: z.array(id()).describe('Tasks that come before this one in the same visit.').exactOptional(),
  steps: z.array(step).describe('What the hands do, one step each.').default([]),
  points: z
    .array(
      yamlMap({
        place: words(120).describe('Where, such as loader pins.'),
        count: z.int().min(1).max(100).describe('How many there are, such as 4.'),
        sides: z.enum(['both', 'left', 'right', 'middle']).describe('both, left, right or middle.').exactOptional(),
      }),
    )
    .describe('Places ticked one by one, such as grease points.')
    .exactOptional(),
  outcomes: z
    .array(words(80))
    .min(2)
    .describe('What the visit may decide, such as [looked at and fine, cleaned, replaced].')
    .exactOptional(),
  cleanAtMost: z.int().min(1).max(100).describe('Cleanings before it is replaced, such as 3.').exactOptional(),
  tools: z.array(words(120)).describe('Tools to lay out.').exactOptional(),
  parts: z.array(part).describe('Parts that it uses up.').default([]),
  fluids: z.array(fluid).describe('Fluids that it uses up.').default([]),
  ifOut: yamlMap({
    minutes: minutes().describe('Minutes of the extra work.'),
    needs: needs.describe('State of the machine that the extra work wants.').exactOptional(),
    tools: z.array(words(120)).describe('Tools that the extra work needs.').exactOptional(),
    steps: z.array(step).min(1).describe('Steps of the extra work.'),
    parts: z.array(part).describe('Parts that the extra work uses up.').exactOptional(),
  })
    .describe('Work that only a bad finding brings.')
    .exactOptional(),
  countsAs: z.array(id()).describe('Tasks that count as done with this one.').exactOptional(),
  leadsTo: z
    .array(
      yamlMap({
        task: id().describe('The task that follows.'),
        at: z
          .enum(['once', 'end', 'return'])
          .describe(
            'once: right after this one, with nothing between. end: at the end of the same visit. return: this task lays the machine up and that one brings it back; other work waits in between.',
          )
          .exactOptional(),
        after: quantityIn('time', 'h', 0).describe('Hours of work later, such as 5 h.').exactOptional(),
      }).refine(({ at, after }) => (at === undefined) !== (after === undefined), {
        error: 'Either at: once, at: end, at: return or after: some hours is wanted here',
      }),
    )
    .describe('Tasks that this one brings, each with at: once, at: end, at: return or after: 5 h.')
    .exactOptional(),
  keep: z
    .array(
      yamlMap({
        name: words(80).describe('What is kept, such as rod length.'),
        unit: unitText().describe('Its unit, such as mm.'),
      }),
    )
    .describe('Values without a limit, kept as found and as left.')
    .exactOptional(),
  cautions: z.array(caution).describe('Cautions: ids of the library, or written out.').default([]),
  notes: z.array(words(600)).describe('Anything else worth knowing.').exactOptional(),
  source: words(300).describe('Where this comes from, such as common practice, check your manual.').exactOptional(),
};
