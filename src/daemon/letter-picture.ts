import { drawMailPicture } from '../charts/mail-picture.js';
import type { Facts } from '../domain/facts.js';
import { meterSince } from '../domain/machine.js';
import type { Letter, LetterPicture } from '../domain/results/letter.js';
import type { Message } from '../domain/results/notice.js';
import type { LetterContext } from '../words/letter.js';
import { sayPicture } from '../words/letter-picture.js';

/** The letter with its picture, drawn once, when the letter is written. */
export function withPicture(letter: Letter, message: Message, context: LetterContext, facts: Facts): Letter {
  const picture = pictureOf(message, context, facts);
  return picture === null ? letter : { ...letter, picture };
}

function pictureOf(message: Message, context: LetterContext, facts: Facts): LetterPicture | null {
  const words = sayPicture(message, context, facts.machines);
  if (words === null) return null;
  const { machine, outlook, limits, title, alt } = words;
  const { trace } = outlook;
  const fromMs = trace.atMs[0] ?? context.outlook.nowMs;
  const known = facts.machines.find((one) => one.machine === machine.id);
  const svg = drawMailPicture({
    trace,
    readings: (known?.readings ?? []).filter((reading) => reading.atMs >= fromMs),
    runs: known?.runs ?? [],
    targets: limits.map(({ hours, text, due }) => ({
      hours,
      text,
      due: due.day === null ? null : { from: due.day.p10, to: due.day.p90 },
    })),
    nowMs: context.outlook.nowMs,
    meterSinceMs: meterSince(machine.meter, context.outlook.nowMs),
    zone: context.home.household.zone,
    title,
    description: alt,
    id: 'hours',
  });
  return svg === '' ? null : { svg, alt };
}
