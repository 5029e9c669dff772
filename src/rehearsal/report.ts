import { addMonths, type Day, daysBetween, formatInstant } from '../domain/day.js';
import type { Home } from '../domain/home.js';
import type { LimitKind } from '../domain/results/due.js';
import { lateToleranceHours } from '../domain/task.js';
import type { Diary, LivedService } from './diary.js';
import type { TrueHours } from './true-hours.js';

/** What `rehearse` prints: every notice, every service against the truth, and the sums. */
export interface RehearsalReport {
  readonly notices: readonly {
    readonly message: string;
    readonly at: string;
    readonly kind: string;
    readonly machine: string | null;
    readonly visit: string | null;
    readonly tasks: readonly string[];
    readonly to: string;
    readonly channel: string;
    readonly subject: string;
  }[];
  readonly services: readonly {
    readonly machine: string;
    readonly task: string;
    readonly limit: LimitKind;
    readonly trueDue: Day;
    readonly doneOn: Day;
    readonly intervalHours: number | null;
    readonly toleranceHours: number | null;
    readonly overHours: number | null;
    readonly partsNoticeLeadDays: number | null;
    readonly pulledForward: boolean;
  }[];
  readonly readings: number;
  readonly questions: number;
  readonly wastedTrips: number;
  readonly messages: number;
  readonly machines: Readonly<Record<string, { questions: number; wastedTrips: number; messages: number }>>;
}

/** Joins what was lived with what was true. */
export function writeReport(
  diary: Diary,
  home: Home,
  truth: ReadonlyMap<string, TrueHours>,
  letters: ReadonlyMap<string, { readonly channel: string; readonly subject: string }>,
): RehearsalReport {
  const perMachine = home.machines.map((machine) => {
    const own = diary.notices.filter((n) => n.machine === machine.id);
    return [
      machine.id,
      {
        questions: own.filter((n) => n.kind === 'reading').length,
        wastedTrips: diary.wastedTrips.get(machine.id) ?? 0,
        messages: new Set(own.map((n) => n.message)).size,
      },
    ] as const;
  });
  return {
    notices: diary.notices.map((notice) => ({
      message: notice.message,
      at: formatInstant(notice.atMs),
      kind: notice.kind,
      machine: notice.machine,
      visit: notice.visit,
      tasks: notice.tasks,
      to: notice.to,
      channel: letters.get(notice.message)?.channel ?? 'file',
      subject: letters.get(notice.message)?.subject ?? '',
    })),
    services: diary.services.flatMap((service) => reportService(service, home, truth)),
    readings: diary.readings,
    questions: perMachine.reduce((sum, [, counts]) => sum + counts.questions, 0),
    wastedTrips: perMachine.reduce((sum, [, counts]) => sum + counts.wastedTrips, 0),
    messages: new Set(diary.notices.map((n) => n.message)).size,
    machines: Object.fromEntries(perMachine),
  };
}

function reportService(
  service: LivedService,
  home: Home,
  truth: ReadonlyMap<string, TrueHours>,
): RehearsalReport['services'] {
  const meter = truth.get(service.machine);
  const task = home.machines.find((m) => m.id === service.machine)?.tasks.find((t) => t.id === service.task);
  if (meter === undefined || task === undefined) return [];
  const { due } = service;
  const byHours = due.targetHours === null ? null : meter.dayReaching(due.targetHours);
  const months = typeof task.every === 'object' ? task.every.months : undefined;
  const byCalendar =
    due.calendarDay ?? (months === undefined || due.lastDay === null ? null : addMonths(due.lastDay, months));
  const hoursFirst = byHours !== null && (byCalendar === null || byHours <= byCalendar);
  const trueDue = hoursFirst ? byHours : byCalendar;
  if (trueDue === null) return [];
  const intervalHours = due.intervalHours;
  const calendarLimit: LimitKind = due.limit === 'season' ? 'season' : 'months';
  return [
    {
      machine: service.machine,
      task: service.task,
      limit: hoursFirst ? (due.limit === 'break-in' ? 'break-in' : 'hours') : calendarLimit,
      trueDue,
      doneOn: service.doneOn,
      intervalHours,
      toleranceHours: intervalHours === null ? null : lateToleranceHours(task, intervalHours),
      overHours: due.targetHours === null ? null : round(service.trueHours - due.targetHours),
      partsNoticeLeadDays: service.partsNoticeOn === null ? null : daysBetween(service.partsNoticeOn, service.doneOn),
      pulledForward: service.pulledForward,
    },
  ];
}

function round(hours: number): number {
  return Math.round(hours * 100) / 100;
}
