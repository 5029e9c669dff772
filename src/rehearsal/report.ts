import { type Day, daysBetween, formatInstant } from '../domain/day.js';
import type { Home } from '../domain/home.js';
import type { ChannelKind, NoticeKind } from '../domain/household.js';
import type { LimitKind } from '../domain/results/due.js';
import type { Letter } from '../domain/results/letter.js';
import { lateToleranceHours } from '../domain/task.js';
import type { Diary, LivedService } from './diary.js';
import type { TrueHours } from './truth/true-hours.js';
import { trueDueOf } from './truth/true-limits.js';

/** A notice as `rehearse` prints it. */
interface ReportedNotice {
  /** Rows sent as one message share it. */
  readonly message: string;
  readonly at: string;
  readonly kind: NoticeKind;
  readonly machine: string | null;
  readonly visit: string | null;
  readonly tasks: readonly string[];
  readonly to: string;
  readonly channel: ChannelKind;
  readonly subject: string;
}

/** A service as `rehearse` prints it, against the truth. */
interface ReportedService {
  readonly machine: string;
  readonly task: string;
  /** The limit that truly came first, also where it was done before that. */
  readonly limit: LimitKind;
  readonly trueDue: Day;
  readonly doneOn: Day;
  readonly intervalHours: number | null;
  readonly toleranceHours: number | null;
  /** Hours past the hours limit; negative is early. */
  readonly overHours: number | null;
  readonly partsNoticeLeadDays: number | null;
  readonly pulledForward: boolean;
}

/** Sums of one machine. */
interface MachineSums {
  readonly questions: number;
  readonly wastedTrips: number;
  readonly messages: number;
}

/** What `rehearse` prints: every notice, every service against the truth, and the sums. */
export interface RehearsalReport {
  readonly notices: readonly ReportedNotice[];
  readonly services: readonly ReportedService[];
  readonly readings: number;
  readonly questions: number;
  readonly wastedTrips: number;
  readonly messages: number;
  readonly machines: Readonly<Record<string, MachineSums>>;
}

/** Joins what was lived with what was true.
 *  @param letters by message id */
export function writeReport(
  diary: Diary,
  home: Home,
  truth: ReadonlyMap<string, TrueHours>,
  letters: ReadonlyMap<string, { readonly channel: ChannelKind; readonly letter: Letter }>,
): RehearsalReport {
  const machines = home.machines.map((machine) => {
    const own = diary.notices.filter((n) => n.machine === machine.id);
    const sums: MachineSums = {
      questions: questionsIn(own),
      wastedTrips: diary.wastedTrips.get(machine.id) ?? 0,
      messages: messagesIn(own),
    };
    return [machine.id, sums] as const;
  });
  return {
    notices: diary.notices.map((notice) => {
      const sent = letters.get(notice.message);
      return {
        message: notice.message,
        at: formatInstant(notice.atMs),
        kind: notice.kind,
        machine: notice.machine,
        visit: notice.visit,
        tasks: notice.tasks,
        to: notice.to,
        channel: sent?.channel ?? 'file',
        subject: sent?.letter.subject ?? '',
      };
    }),
    services: diary.services.flatMap((service) => reportService(service, home, truth)),
    readings: diary.readings,
    questions: questionsIn(diary.notices),
    wastedTrips: machines.reduce((sum, [, sums]) => sum + sums.wastedTrips, 0),
    messages: messagesIn(diary.notices),
    machines: Object.fromEntries(machines),
  };
}

function questionsIn(notices: Diary['notices']): number {
  return notices.filter((n) => n.kind === 'reading').length;
}

function messagesIn(notices: Diary['notices']): number {
  return new Set(notices.map((n) => n.message)).size;
}

function reportService(
  service: LivedService,
  home: Home,
  truth: ReadonlyMap<string, TrueHours>,
): readonly ReportedService[] {
  const meter = truth.get(service.machine);
  const task = home.machines.find((m) => m.id === service.machine)?.tasks.find((t) => t.id === service.task);
  const { hours } = service.limits;
  const due = meter === undefined ? null : trueDueOf(service.limits, meter);
  if (task === undefined || due === null) return [];
  return [
    {
      machine: service.machine,
      task: service.task,
      limit: due.limit,
      trueDue: due.day,
      doneOn: service.doneOn,
      intervalHours: hours?.intervalHours ?? null,
      toleranceHours: hours === null ? null : lateToleranceHours(task, hours.intervalHours),
      overHours: hours === null ? null : toHundredths(service.trueHours - hours.targetHours),
      partsNoticeLeadDays: service.partsNoticeOn === null ? null : daysBetween(service.partsNoticeOn, service.doneOn),
      pulledForward: service.pulledForward,
    },
  ];
}

function toHundredths(hours: number): number {
  return Math.round(hours * 100) / 100;
}
