import { createServer, type Server, type Socket } from 'node:net';
import { text } from 'node:stream/consumers';
import { type ParsedMail, simpleParser } from 'mailparser';
import { SMTPServer } from 'smtp-server';
import { makeCertificate } from './certificate.js';

/** What arrived, as an independent parser reads it, and to whom the server was told to give it. */
interface Arrived {
  readonly mail: ParsedMail;
  readonly raw: string;
  readonly from: string;
  readonly to: readonly string[];
  readonly encrypted: boolean;
  readonly user: string | null;
}

/** How the server misbehaves, by the step of RFC 5321 at which it does; the number is its reply. */
export interface Misbehaviour {
  readonly login?: number;
  readonly sender?: number;
  readonly recipient?: number;
  readonly data?: number;
}

export interface MailServer {
  readonly port: number;
  /** PEM of its certificate, which nobody trusts by itself. */
  readonly cert: string;
  readonly arrived: readonly Arrived[];
  close(): Promise<void>;
}

/** A real SMTP server on loopback.
 *  @param set  `security` as a client would set it; `login` null: anybody may send */
export async function startMailServer(set: {
  readonly security: 'tls' | 'starttls' | 'plain';
  readonly login: { readonly user: string; readonly password: string } | null;
  readonly misbehave?: Misbehaviour;
}): Promise<MailServer> {
  const { login, misbehave = {}, security } = set;
  const { key, cert } = makeCertificate(Date.now());
  const arrived: Arrived[] = [];
  const server = new SMTPServer({
    secure: security === 'tls',
    key,
    cert,
    hideSTARTTLS: security !== 'starttls',
    authOptional: login === null,
    allowInsecureAuth: security === 'plain',
    disableReverseLookup: true,
    onAuth: (auth, _session, answer) => {
      if (misbehave.login !== undefined) return answer(fault(misbehave.login, `no, ${auth.username} ${auth.password}`));
      if (login === null || auth.username !== login.user || auth.password !== login.password)
        return answer(fault(535, 'wrong login'));
      answer(null, { user: auth.username });
    },
    onMailFrom: (_address, _session, answer) => answer(faultOr(misbehave.sender, 'sender')),
    onRcptTo: (_address, _session, answer) => answer(faultOr(misbehave.recipient, 'recipient')),
    onData: (stream, session, answer) => {
      void text(stream).then(async (raw) => {
        if (misbehave.data !== undefined) return answer(fault(misbehave.data, 'data'));
        const { mailFrom, rcptTo } = session.envelope;
        arrived.push({
          mail: await simpleParser(raw),
          raw,
          from: mailFrom === false ? '' : mailFrom.address,
          to: rcptTo.map((recipient) => recipient.address),
          encrypted: session.secure,
          user: session.user === undefined ? null : String(session.user),
        });
        answer();
      }, answer);
    },
  });
  server.on('error', () => undefined);
  const port = await listen(server.server);
  return { port, cert, arrived, close: () => new Promise((done) => server.close(() => done())) };
}

/** A server that goes wrong below the protocol: says nothing at all, turns everybody away; once it has the whole letter falls silent,
 *  hangs up, or sends lines of an answer without an end. */
export async function startBrokenServer(
  way: 'never-greets' | 'turns-away' | 'silent-after-data' | 'hangs-up-after-data' | 'dribbles-after-data',
): Promise<{ readonly port: number; readonly letters: () => number; close(): Promise<void> }> {
  const sockets = new Set<Socket>();
  let letters = 0;
  const server = createServer((socket) => {
    sockets.add(socket);
    socket.on('error', () => undefined);
    if (way === 'never-greets') return;
    if (way === 'turns-away') return void socket.end('554 no service for you\r\n');
    let inData = false;
    socket.write('220 localhost\r\n');
    socket.on('data', (bytes) => {
      const said = bytes.toString('latin1');
      if (inData) {
        if (!said.endsWith('\r\n.\r\n')) return;
        inData = false;
        letters += 1;
        if (way === 'hangs-up-after-data') socket.destroy();
        if (way !== 'dribbles-after-data') return;
        const drip = setInterval(() => socket.write('250-still at it\r\n'), 20);
        socket.on('close', () => clearInterval(drip));
      } else if (/^DATA/i.test(said)) {
        inData = true;
        socket.write('354 go on\r\n');
      } else socket.write('250 fine\r\n');
    });
  });
  const port = await listen(server);
  const close = () =>
    new Promise<void>((done) => {
      for (const socket of sockets) socket.destroy();
      server.close(() => done());
    });
  return { port, letters: () => letters, close };
}

/** A port on loopback at which nobody listens. */
export async function findClosedPort(): Promise<number> {
  const server = createServer();
  const port = await listen(server);
  await new Promise((done) => server.close(done));
  return port;
}

function listen(server: Server): Promise<number> {
  return new Promise((done, fail) => {
    server.once('error', fail);
    server.listen(0, '127.0.0.1', () => {
      const address = server.address();
      if (address === null || typeof address === 'string') fail(new Error('the server has no port'));
      else done(address.port);
    });
  });
}

function fault(responseCode: number, message: string): Error {
  return Object.assign(new Error(message), { responseCode });
}

function faultOr(responseCode: number | undefined, message: string): Error | null {
  return responseCode === undefined ? null : fault(responseCode, message);
}
