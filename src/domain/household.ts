import type { Day, TimeOfDay, Weekday, Zone } from './day.js';
import type { Night } from './night.js';

/** Kinds of message; `trouble` says that the service is ill. */
export const noticeKinds = ['parts', 'work', 'late', 'reading', 'season', 'trouble'] as const;
/** One of `noticeKinds`. */
export type NoticeKind = (typeof noticeKinds)[number];

/** A way out by which a person can be told. `file` writes .eml files and needs no set-up. */
export type ChannelKind = 'mail' | 'push' | 'topic' | 'file';

/** Somebody who is told. */
export interface Person {
  /** Lower-case id from the configuration. */
  readonly id: string;
  readonly name: string;
  /** Mail address; absent: messages go to the outbox folder. */
  readonly mail?: string;
  /** Kinds this person gets; absent: all. */
  readonly kinds?: readonly NoticeKind[];
  /** Which kinds come by which way; absent: all by mail, and on every device that asked to be told. */
  readonly ways?: Readonly<Partial<Record<'mail' | 'push' | 'topic', readonly NoticeKind[]>>>;
  /** Days after the first `late` notice before this person is told too; absent: told from the start. */
  readonly secondAfterDays?: number;
}

/** The mail server that letters go out by. */
export interface SmtpSettings {
  readonly host: string;
  readonly port: number;
  /** TLS from the first byte; otherwise STARTTLS is required unless `plain`. */
  readonly security: 'tls' | 'starttls' | 'plain';
  readonly user?: string;
  readonly password?: string;
  readonly from: string;
}

/** The broker that run-time sensors speak to. */
export interface MqttSettings {
  readonly url: string;
  readonly user?: string;
  readonly password?: string;
  readonly caPem?: string;
  readonly protocol: '3.1.1' | '5';
}

/** A thermometer outdoors on MQTT. */
export interface TemperatureFeed {
  readonly topic: string;
  /** JSON pointer (RFC 6901) to the number; absent: the payload itself. */
  readonly pointer?: string;
  readonly unit: 'C' | 'F';
}

/** The home's settings, read from household.yaml with its secrets filled in. */
export interface Household {
  readonly name: string;
  readonly zone: Zone;
  readonly units: 'metric' | 'us';
  readonly locale: string;
  readonly hemisphere: 'north' | 'south';
  /** ISO 4217 code of what is paid here; absent: prices are not asked for. */
  readonly currency?: string;
  readonly people: readonly Person[];
  /** Days on which the household works on machines. */
  readonly workingDays: readonly Weekday[];
  /** Days, or spans of days (both ends included), on which nobody works on machines. */
  readonly daysOff: readonly { readonly from: Day; readonly to: Day; readonly why?: string }[];
  /** When the `work` notice goes out, on the evening before. */
  readonly evening: TimeOfDay;
  /** No message between these two times. */
  readonly quiet: { readonly from: TimeOfDay; readonly to: TimeOfDay };
  /** How other devices reach the page, such as `http://shed.local:8377`; absent: links open on this computer only. */
  readonly address?: string;
  readonly http: {
    readonly host: string;
    readonly port: number;
    /** Whether this computer itself is asked for the password too; absent: no. */
    readonly askHere?: boolean;
    /** A proxy that signs people in itself: believed only from these addresses. */
    readonly proxy?: { readonly addresses: readonly string[]; readonly userHeader: string };
  };
  /** Where the nightly backup goes, from the home folder or in full, and how many are kept. */
  readonly backup: { readonly folder: string; readonly keep: number };
  readonly smtp?: SmtpSettings;
  readonly mqtt?: MqttSettings;
  /** Average first and last frost as `MM-DD`. */
  readonly frost?: { readonly first?: string; readonly last?: string };
  /** Coldest night expected, degrees Celsius. */
  readonly coldestCelsius?: number;
  readonly temperature?: TemperatureFeed;
  /** What the thermometer said, ascending by day; filled in by the outlook, never read from household.yaml. */
  readonly nights?: readonly Night[];
  /** Minutes of setting up that a visit costs, whatever is done in it. */
  readonly setUpMinutes: number;
}

/** Whether a person is told about a kind at all: the kinds they named; without any, everything, but somebody who is only
 *  told when work is late (`secondAfterDays`) hears of `late` and `trouble` alone. */
export function hears(person: Person, kind: NoticeKind): boolean {
  if (person.kinds !== undefined) return person.kinds.includes(kind);
  return person.secondAfterDays === undefined || kind === 'late' || kind === 'trouble';
}
