import { dayMs, dayNumber, minuteMs } from '../domain/day.js';
import type { Facts, SentNotice } from '../domain/facts.js';
import type { Home } from '../domain/home.js';
import { hears, type Person } from '../domain/household.js';
import { type Ill, mailIll } from '../domain/ill.js';
import { byPressing, type Message, type Notice, type WaitingNotice } from '../domain/results/notice.js';
import { askGapDays, lookAgainDays, lookAgainMinutes } from './constants.js';
import { wishParts } from './parts.js';
import { isSilent, type Prospect } from './prospect.js';
import { hasQuestion, judgeReading, mayAsk, wishReading } from './question.js';
import { type Moment, momentAt, speakingInstants } from './speaking-times.js';
import { wishTrouble } from './trouble.js';
import { sayWaiting } from './waiting.js';
import type { Wish } from './wish.js';
import { wishWork } from './work.js';

/** All that the policy looks at. */
export interface DecideInput {
  readonly home: Home;
  readonly facts: Facts;
  readonly outlooks: readonly Prospect[];
  /** What is wrong with the service itself; absent: nothing. */
  readonly ills?: readonly Ill[];
  /** UTC milliseconds. */
  readonly nowMs: number;
}

/** What to say now, when to look again, and what waits. */
export interface Decision {
  readonly messages: readonly Message[];
  readonly nextLookMs: number;
  readonly waiting: readonly WaitingNotice[];
}

/** What each person is told now: one message a person and day, none in quiet hours or on days off, everything due to them
 *  in it. Rests on the notices sent alone, so that deciding again at the same instant, with the answer written down, says
 *  nothing more.
 *  @returns `waiting`: soonest first; `nextLookMs`: the first instant from which something could be said that cannot be now, 1 minute to 7 days ahead
 *  Source: own policy; costs as in visits/constants and reminders/constants. */
export function decideMessages(input: DecideInput): Decision {
  const { home, facts, outlooks, nowMs } = input;
  const moment = momentAt(nowMs, home.household);
  const messages = writeMessages(input, moment, wishesAt(input, moment, 'judge'));
  const told: DecideInput =
    messages.length === 0 ? input : { ...input, ...afterTelling(facts, outlooks, messages, nowMs) };
  return {
    messages,
    nextLookMs: findNextLook(told, moment),
    waiting: told.outlooks
      .flatMap((prospect) => prospect.visits.map((visit) => sayWaiting(visit, prospect, home.household, moment)))
      .sort((a, b) => a.day.localeCompare(b.day)),
  };
}

function wishesAt(input: DecideInput, moment: Moment, ask: 'judge' | 'assume' | 'never'): Wish[] {
  const { household } = input.home;
  const troubles = wishTrouble(input.ills ?? [], input.facts.householdSent, household.people, moment);
  const wishes = input.outlooks.flatMap((prospect) => {
    if (isSilent(prospect.machine, moment.day)) return [];
    const visits = prospect.visits.flatMap((visit) => [
      ...wishWork(visit, prospect, household, moment),
      ...wishParts(visit, prospect, household, moment),
    ]);
    if (ask === 'never') return visits;
    const questions = wishReading(prospect, household, moment, (due, workDay) =>
      ask === 'assume' ? Number.POSITIVE_INFINITY : judgeReading(prospect, household, moment, due, workDay),
    );
    // A question whose answer could spare the trip goes out in place of the call to work.
    const asked = new Set(questions.map((wish) => wish.notice.visit));
    const isReplaced = (wish: Wish) =>
      asked.has(wish.notice.visit) &&
      (wish.notice.kind === 'work' || (wish.notice.kind === 'parts' && wish.how === 'ride'));
    return [...visits.filter((wish) => !isReplaced(wish)), ...questions];
  });
  return [...wishes, ...troubles];
}

function writeMessages(input: DecideInput, moment: Moment, wishes: readonly Wish[]): Message[] {
  if (moment.isQuiet) return [];
  const sent = [...input.facts.householdSent, ...input.facts.machines.flatMap((machine) => machine.sent)];
  return input.home.household.people.flatMap((person) => {
    const own = wishes.filter((wish) => wish.person.id === person.id);
    if (!own.some((wish) => wish.how === 'start') || wasToldToday(person, sent, moment)) return [];
    const notices = withoutDoubles(own.map((wish) => wish.notice));
    const message = [...notices, ...asideQuestions(input, person, notices, moment)].sort(byPressing);
    // Where mail does not get through, word of it goes by itself: the rest waits for the mail.
    const isOfMail = (notice: Notice) => notice.kind === 'trouble' && notice.tasks.includes(mailIll);
    return [message.filter((notice) => !isOfMail(notice)), message.filter(isOfMail)]
      .filter((some) => some.length > 0)
      .map((some) => ({ to: person.id, notices: some }));
  });
}

function wasToldToday(person: Person, sent: readonly SentNotice[], moment: Moment): boolean {
  return sent.some((notice) => notice.to === person.id && notice.atMs >= moment.startMs);
}

/** A notice of one kind about one visit stands once in a message, the first wished. */
function withoutDoubles(notices: readonly Notice[]): Notice[] {
  const seen = new Set<string>();
  return notices.filter((notice) => {
    const key = `${notice.kind}|${notice.machine}|${notice.visit}`;
    if (seen.has(key)) return false;
    seen.add(key);
    return true;
  });
}

/** Readings kept aside are asked about in a message that goes out anyway, at most weekly. */
function asideQuestions(input: DecideInput, person: Person, notices: readonly Notice[], moment: Moment): Notice[] {
  if (!hears(person, 'reading')) return [];
  return input.outlooks.flatMap(({ machine, facts }) => {
    const [aside] = facts.aside;
    if (aside === undefined || isSilent(machine, moment.day)) return [];
    if (notices.some((notice) => notice.kind === 'reading' && notice.machine === machine.id)) return [];
    const asked = facts.sent.some(
      (n) => n.kind === 'reading' && n.to === person.id && moment.nowMs - n.atMs < askGapDays * dayMs,
    );
    if (asked) return [];
    return [
      {
        kind: 'reading' as const,
        to: person.id,
        machine: machine.id,
        visit: null,
        tasks: [],
        proposedDay: null,
        because: `A reading of ${aside.hours} h is kept aside: ${aside.question}`,
      },
    ];
  });
}

/** The facts as they will be once the messages are written down. */
function afterTelling(
  facts: Facts,
  outlooks: readonly Prospect[],
  messages: readonly Message[],
  nowMs: number,
): Pick<DecideInput, 'facts' | 'outlooks'> {
  const notices = messages.flatMap((message) => message.notices);
  const sentFor = (machine: string): SentNotice[] =>
    notices
      .filter((notice) => notice.machine === machine)
      .map((notice) => ({ ...notice, id: 'now', message: 'now', atMs: nowMs }));
  const machines = facts.machines.map((m) => ({ ...m, sent: [...m.sent, ...sentFor(m.machine)] }));
  const householdSent = [
    ...facts.householdSent,
    ...notices
      .filter((notice) => notice.machine === null)
      .map((notice) => ({ ...notice, id: 'now', message: 'now', atMs: nowMs })),
  ];
  return {
    facts: { ...facts, machines, householdSent },
    outlooks: outlooks.map((prospect) => ({
      ...prospect,
      facts: { ...prospect.facts, sent: [...prospect.facts.sent, ...sentFor(prospect.machine.id)] },
    })),
  };
}

/** Tries the coming evenings and mornings as if no fact changed; days on which a proposed day has passed, or which somebody asked to be
 *  told on, count too: from them on the work may be planned for another day. */
function findNextLook(input: DecideInput, moment: Moment): number {
  const { household } = input.home;
  const latestMs = moment.nowMs + lookAgainDays * dayMs;
  const earliestMs = moment.nowMs + lookAgainMinutes * minuteMs;
  const changing = new Set(
    input.outlooks.flatMap(({ visits }) =>
      visits.flatMap(({ day, askOn }) => [dayNumber(day) + 1, ...(askOn === null ? [] : [dayNumber(askOn)])]),
    ),
  );
  for (const instant of speakingInstants(moment.nowMs, household, lookAgainDays)) {
    if (instant >= latestMs) break;
    // Looked at within the minute before it: what can be said from then on must not wait for the instant after.
    const lookMs = Math.max(instant, earliestMs);
    const then = momentAt(instant, household);
    if (instant === then.startMs && changing.has(then.today)) return lookMs;
    if (then.isQuiet) continue;
    if (writeMessages(input, then, wishesAt(input, then, 'never')).length > 0) return lookMs;
    if (isFirstChanceToAsk(input, moment, then)) return lookMs;
  }
  return latestMs;
}

/** The first evening before a working day on which a question may be asked; the later ones would hardly judge otherwise. */
function isFirstChanceToAsk(input: DecideInput, now: Moment, then: Moment): boolean {
  const { household } = input.home;
  if (then.eveningOf === null) return false;
  if (writeMessages(input, then, wishesAt(input, then, 'assume')).length === 0) return false;
  return input.outlooks.some((prospect) => {
    const workDay = mayAsk(prospect, household, then);
    if (workDay === null || !hasQuestion(prospect, household, then, workDay)) return false;
    return now.eveningOf === null || now.isQuiet || mayAsk(prospect, household, now) !== workDay;
  });
}
