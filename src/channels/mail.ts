import { createTransport } from 'nodemailer';
import { Fault } from '../domain/fault.js';
import type { Household, SmtpSettings } from '../domain/household.js';
import type { Log } from '../domain/outside.js';
import type { Delivery, Envelope } from '../domain/results/envelope.js';
import type { Channel } from './channel.js';
import { composeMail } from './compose.js';
import { readFailure, withoutSecrets } from './smtp-answer.js';

/** How long each part of an attempt may take, and which certificates are trusted beside the well-known ones. */
export interface SmtpLimits {
  /** To open the connection. */
  readonly connectMs: number;
  /** For the server's first word. */
  readonly greetingMs: number;
  /** Of silence in the middle of a conversation. */
  readonly silenceMs: number;
  /** For all of it: a server that sends a little now and then is never silent and never done. */
  readonly wholeMs: number;
  /** PEM; null: the well-known authorities only. */
  readonly trustedPem: string | null;
}

/** Long enough for a slow line at home, short enough that one dead server does not hold up an evening. Common practice, no source. */
const usualLimits: SmtpLimits = {
  connectMs: 20_000,
  greetingMs: 20_000,
  silenceMs: 60_000,
  wholeMs: 300_000,
  trustedPem: null,
};

/** The way out by SMTP: one connection a letter, encrypted as the settings say, one attempt, no retry of its own.
 *  @param settings   host, port, security, login, sender
 *  @param household  its name is the sender's name
 *  @param log        told of failed attempts, without addresses or secrets
 *  @param limits     for tests, and for a server with a certificate of its own
 *  Source: RFC 5321; RFC 3207 (STARTTLS); RFC 4954 (AUTH); RFC 8314 section 3 (TLS from the first byte). */
export function smtpChannel(
  settings: SmtpSettings,
  household: Pick<Household, 'name'>,
  log: Log,
  limits: SmtpLimits = usualLimits,
): Channel {
  const secrets = settings.password === undefined ? [] : secretForms(settings.user ?? '', settings.password);
  return {
    kind: 'mail',
    async deliver(envelope) {
      const delivery = await attempt(envelope, settings, household, limits, secrets);
      if (delivery.kind !== 'delivered')
        log.warn(
          { letter: envelope.id, channel: 'mail', outcome: delivery.kind, reason: delivery.reason },
          'letter not delivered',
        );
      return delivery;
    },
  };
}

async function attempt(
  envelope: Envelope,
  settings: SmtpSettings,
  household: Pick<Household, 'name'>,
  limits: SmtpLimits,
  secrets: readonly string[],
): Promise<Delivery> {
  const transport = createTransport({
    host: settings.host,
    port: settings.port,
    secure: settings.security === 'tls',
    requireTLS: settings.security === 'starttls',
    ignoreTLS: settings.security === 'plain',
    ...(settings.user === undefined ? {} : { auth: { user: settings.user, pass: settings.password ?? '' } }),
    ...(limits.trustedPem === null ? {} : { tls: { ca: [limits.trustedPem] } }),
    connectionTimeout: limits.connectMs,
    greetingTimeout: limits.greetingMs,
    socketTimeout: limits.silenceMs,
    disableFileAccess: true,
    disableUrlAccess: true,
  });
  const signal = AbortSignal.timeout(limits.wholeMs);
  try {
    const mail = composeMail(envelope, household, settings.from);
    const to = { from: mail.from.address, to: [mail.to.address] };
    const info = await transport.sendMail({ ...mail, envelope: to, signal });
    // A server may take the letter and still refuse a recipient of it.
    if (info.rejected.length > 0)
      return {
        kind: 'refused',
        reason: `${settings.host} refused the recipient: ${withoutSecrets(info.response, secrets)}`,
      };
    return { kind: 'delivered', detail: `${settings.host} took it: ${withoutSecrets(info.response, secrets)}` };
  } catch (failure) {
    if (failure instanceof Fault) return { kind: 'refused', reason: failure.line };
    if (signal.aborted) {
      const minutes = Math.ceil(limits.wholeMs / 60_000);
      const reason = `${settings.host} had not taken the letter after ${minutes} min`;
      return { kind: 'try-later', reason, afterMs: null };
    }
    return readFailure(failure, settings.host, secrets);
  } finally {
    transport.close();
  }
}

/** The password by itself, and as AUTH PLAIN sends it (RFC 4616 section 2). */
function secretForms(user: string, password: string): readonly string[] {
  return [`\0${user}\0${password}`, password];
}
