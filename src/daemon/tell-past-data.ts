import { createHash } from 'node:crypto';
import type { Channel } from '../channels/channel.js';
import { dayMs, minuteMs } from '../domain/day.js';
import { type Household, hears, type Person } from '../domain/household.js';
import type { Clock, Log } from '../domain/outside.js';
import type { PushDevice } from '../domain/push-device.js';
import type { Envelope } from '../domain/results/envelope.js';
import type { Letter } from '../domain/results/letter.js';
import { toldMarker } from './told-marker.js';
import { openWaysPastData } from './ways-past-data.js';
import { dataFolder } from './wire.js';

/** Tells of a trouble with the data themselves: without outbox, links or pictures, for all of these need the data. */
export interface PastData {
  /** Sends what is not out yet by every way that works without the data; tries that failed are made again after a quarter of an
   *  hour. A call while another is under way does nothing. */
  tell(letter: Letter): Promise<void>;
  /** Since when the trouble that was told is known; null where none is. */
  sinceMs(): number | null;
  /** The trouble is over: the next one is told anew. */
  over(): void;
}

const againMs = 15 * minuteMs;
/** Said again after so many days while it lasts, as other troubles are. Common practice, no source. */
const roundDays = [14, 44, 134] as const;
const laterRoundDays = 90;

/** @param key  names the trouble: `data-file`, `disk`, `settings`
 *  @param devices  those to push to, as far as they can be known; asked once and when household.yaml changed */
export function tellPastData(
  key: string,
  options: {
    readonly homeDir: string;
    readonly household: () => Household;
    readonly devices: () => readonly PushDevice[];
    readonly clock: Clock;
    readonly log: Log;
  },
): PastData {
  const { clock, log } = options;
  const folder = dataFolder(options.homeDir);
  const marker = toldMarker(folder, key);
  /** Refused for good while this process runs: a wrong password tried for ever locks an account. */
  const refused = new Set<string>();
  let opened: { readonly household: Household; readonly ways: readonly Channel[] } | null = null;
  let isTelling = false;
  let restUntilMs = Number.NEGATIVE_INFINITY;
  let restFromMs = 0;

  const tellAll = async (letter: Letter) => {
    const nowMs = clock.nowMs();
    const household = options.household();
    const round = roundAt((nowMs - marker.sinceMs(nowMs)) / dayMs);
    const wanted = peopleOf(household).map((person) => ({ person, id: `${key}-${person.id}-${round}` }));
    if (opened?.household !== household) {
      opened = { household, ways: openWaysPastData(folder, household, options.devices, log) };
    }
    for (const way of opened.ways) {
      for (const { person, id } of wanted) {
        const mark = `${id} ${way.kind}`;
        if (marker.has(mark) || refused.has(mark) || (way.kind === 'mail' && person.mail === undefined)) continue;
        const delivery = await way.deliver(envelopeOf(letter, person, id, nowMs));
        if (delivery.kind === 'delivered') {
          marker.add(mark, nowMs);
          log.info({ trouble: key, to: person.id, channel: way.kind }, 'word of the trouble went out');
          continue;
        }
        log.warn({ trouble: key, to: person.id, channel: way.kind, reason: delivery.reason }, 'word did not go out');
        if (delivery.kind === 'refused') refused.add(mark);
        else restUntilMs = nowMs + againMs;
      }
    }
  };
  return {
    async tell(letter) {
      const nowMs = clock.nowMs();
      const isResting = nowMs < restUntilMs && nowMs >= restFromMs;
      if (isTelling || isResting) return;
      isTelling = true;
      restFromMs = nowMs;
      try {
        await tellAll(letter);
      } finally {
        isTelling = false;
      }
    },
    sinceMs: () => marker.knownSinceMs(),
    over() {
      refused.clear();
      restUntilMs = Number.NEGATIVE_INFINITY;
      marker.clear();
    },
  };
}

/** Those who want to hear of trouble; where nobody does, everybody: this is the one thing that nobody else would say. */
function peopleOf({ people, name }: Household): readonly Person[] {
  const hearing = people.filter((person) => hears(person, 'trouble'));
  if (hearing.length > 0) return hearing;
  return people.length > 0 ? people : [{ id: 'household', name }];
}

/** Which telling it is after so many days: 0 is the first. */
function roundAt(days: number): number {
  const early = roundDays.filter((from) => days >= from).length;
  const [, , last] = roundDays;
  return early < roundDays.length ? early : early + Math.floor((days - last) / laterRoundDays);
}

/** The same letter has the same id on every start, so that a mail program which got it twice can tell. */
function envelopeOf(letter: Letter, to: Person, id: string, nowMs: number): Envelope {
  const mark = createHash('sha256')
    .update(`${id} ${letter.lead} ${Math.floor(nowMs / dayMs)}`)
    .digest('hex')
    .slice(0, 16);
  return {
    id,
    messageId: `<${id}.${mark}@trouble.shedbell.invalid>`,
    to,
    letter,
    writtenAtMs: nowMs,
    inReplyTo: null,
    references: [],
  };
}
