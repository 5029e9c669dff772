import type { Delivery } from '../domain/results/envelope.js';
import { oneLine } from '../words/sentence.js';

/** After a refused login: trying again soon can lock the account. Common practice, no source. */
const afterRefusedLoginMs = 6 * 3_600_000;
/** After a certificate that is not trusted: only a person mends that. Common practice, no source. */
const afterBadCertificateMs = 3_600_000;
/** After a server that takes no letters at all from here. Common practice, no source. */
const afterTurnedAwayMs = 3_600_000;
const longestAnswer = 300;

/** Replies that want a login, or another way of it, whatever was asked. Source: RFC 4954 section 6. */
const wantsLogin: readonly (number | null)[] = [530, 534, 535, 538];
/** Steps at which the server has not heard yet of any letter. Source: RFC 5321 sections 3.1 and 4.3.2. */
const beforeTheLetter = ['CONN', 'EHLO', 'HELO', 'STARTTLS'];

/** What a failed attempt means. A permanent answer of the server (5xx) about the letter is a refusal; one before it heard of the
 *  letter, a refused or missing login, a temporary answer (4xx) and every trouble of the network mean to try later, because the
 *  letter itself may be fine.
 *  @param failure  what the mail library threw
 *  @param server   name of the server, for the reason
 *  @param secrets  texts that must not stand in a reason
 *  Source: RFC 5321 section 4.2.1 (first digit of a reply), RFC 4954 section 6 (replies to AUTH). */
export function readFailure(failure: unknown, server: string, secrets: readonly string[]): Delivery {
  const { code, command, responseCode, response, message } = fieldsOf(failure);
  const said = withoutSecrets(response === '' ? message : response, secrets);
  if (code === 'EAUTH' || wantsLogin.includes(responseCode)) {
    const isTemporary = responseCode !== null && responseCode < 500;
    const reason = isTemporary
      ? `${server} cannot check the login at present: ${said}`
      : `${server} refused the login; check user and password (many providers want an app password): ${said}`;
    return { kind: 'try-later', reason, afterMs: isTemporary ? null : afterRefusedLoginMs };
  }
  if (responseCode !== null && responseCode >= 500 && beforeTheLetter.includes(command))
    return { kind: 'try-later', reason: `${server} takes no letters from here: ${said}`, afterMs: afterTurnedAwayMs };
  if (responseCode !== null && responseCode >= 500)
    return { kind: 'refused', reason: `${server} refused the letter: ${said}` };
  if (responseCode !== null && responseCode >= 400)
    return { kind: 'try-later', reason: `${server} asks to come back later: ${said}`, afterMs: null };
  if (/certificate|altnames|self.signed/i.test(message)) {
    return {
      kind: 'try-later',
      reason: `The certificate of ${server} is not trusted: ${said}`,
      afterMs: afterBadCertificateMs,
    };
  }
  if (code === 'ETLS')
    return {
      kind: 'try-later',
      reason: `${server} does not offer an encrypted connection: ${said}`,
      afterMs: afterBadCertificateMs,
    };
  if (code === 'ETIMEDOUT')
    return { kind: 'try-later', reason: `${server} did not answer in time: ${said}`, afterMs: null };
  if (/clos|reset|EPIPE|hang up/i.test(message)) {
    return { kind: 'try-later', reason: `The connection to ${server} broke off: ${said}`, afterMs: null };
  }
  return { kind: 'try-later', reason: `${server} could not be reached: ${inPlainWords(said)}`, afterMs: null };
}

/** What the network said, in words and with the port by its name; its own code stays beside them for whoever looks it up. Anything else as it is.
 *  Source: the codes are those of POSIX.1-2017 errno and getaddrinfo. */
function inPlainWords(said: string): string {
  const code = /\b(ECONNREFUSED|EHOSTUNREACH|ENETUNREACH|EHOSTDOWN|ENOTFOUND|EAI_AGAIN)\b/.exec(said)?.[1];
  if (code === undefined) return said;
  if (code === 'ENOTFOUND') return `no computer of that name is known (${code})`;
  if (code === 'EAI_AGAIN') return `its name cannot be looked up at present (${code})`;
  if (code !== 'ECONNREFUSED') return `no way leads to it from here (${code})`;
  const port = /:(\d{1,5})$/.exec(said)?.[1];
  return `it takes no mail ${port === undefined ? 'on that port' : `on port ${port}`} (${code})`;
}

/** A server's answer on one line, shortened, with every secret (also in base64, as logins send it) blotted out. */
export function withoutSecrets(text: string, secrets: readonly string[]): string {
  let clean = oneLine(text);
  for (const secret of secrets) {
    if (secret === '') continue;
    const base64 = Buffer.from(secret).toString('base64');
    for (const form of [secret, base64, base64.replace(/=+$/, '')]) clean = clean.replaceAll(form, '•••');
  }
  return clean.length > longestAnswer ? `${clean.slice(0, longestAnswer)}…` : clean;
}

function fieldsOf(failure: unknown) {
  const held = (name: string): unknown =>
    typeof failure === 'object' && failure !== null && name in failure ? Reflect.get(failure, name) : undefined;
  const text = (value: unknown) => (typeof value === 'string' ? value : '');
  const number = held('responseCode');
  return {
    code: text(held('code')),
    command: text(held('command')),
    responseCode: typeof number === 'number' && Number.isFinite(number) ? number : null,
    response: text(held('response')),
    message: text(held('message')) || 'no reason was given',
  };
}
