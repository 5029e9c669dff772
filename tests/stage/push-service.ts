import { createECDH, randomBytes } from 'node:crypto';
import { createServer, type Server } from 'node:https';
import type { AddressInfo } from 'node:net';
import { decrypt } from 'http_ece';
import type { PushAnswer, PushBook, PushLimits } from '../../src/channels/push.js';
import type { PushDevice } from '../../src/domain/push-device.js';
import { makeCertificate } from './certificate.js';

/** One message as the push service took it: encrypted, with its headers. */
interface Pushed {
  readonly path: string;
  readonly headers: Readonly<Record<string, string | string[] | undefined>>;
  readonly body: Buffer;
}

export interface PushService {
  readonly url: string;
  readonly cert: string;
  readonly took: Pushed[];
  close(): Promise<void>;
}

/** How it answers a device, by the last part of the device's address: a status, headers, or never. */
export type Answers = Readonly<
  Record<string, { readonly status: number; readonly headers?: Record<string, string> } | 'hangs' | 'dribbles'>
>;

/** A push service on loopback with a certificate of its own. Answers 201 unless told otherwise. */
export async function startPushService(answers: () => Answers = () => ({})): Promise<PushService> {
  const { key, cert } = makeCertificate(Date.now());
  const took: Pushed[] = [];
  const server: Server = createServer({ key, cert }, (request, response) => {
    const pieces: Buffer[] = [];
    request.on('data', (piece: Buffer) => pieces.push(piece));
    request.on('end', () => {
      const path = request.url ?? '';
      took.push({ path, headers: request.headers, body: Buffer.concat(pieces) });
      const answer = answers()[path.slice(1)] ?? { status: 201 };
      if (answer === 'hangs') return;
      if (answer === 'dribbles') {
        response.writeHead(201);
        const drop = setInterval(() => response.write('.'), 20);
        response.on('close', () => clearInterval(drop));
        return;
      }
      response.writeHead(answer.status, answer.headers ?? {});
      response.end(answer.status < 300 ? '' : `no <b>${answer.status}</b>`);
    });
  });
  await new Promise<void>((done) => server.listen(0, '127.0.0.1', done));
  const { port } = server.address() as AddressInfo;
  return {
    url: `https://localhost:${port}`,
    cert,
    took,
    close: () => {
      server.closeAllConnections();
      return new Promise((done) => server.close(() => done()));
    },
  };
}

/** A browser with keys of its own, which reads what was encrypted for it with an independent implementation. */
export function stageBrowser(service: PushService, id: string, person = 'marta') {
  const ecdh = createECDH('prime256v1');
  const p256dh = ecdh.generateKeys('base64url');
  const auth = randomBytes(16).toString('base64url');
  const device: PushDevice = {
    id,
    person,
    endpoint: `${service.url}/${id}`,
    p256dh,
    auth,
    addedAtMs: 0,
    refusals: 0,
    lastWord: null,
  };
  const read = (body: Buffer): string =>
    decrypt(body, { version: 'aes128gcm', privateKey: ecdh, authSecret: auth }).toString('utf8');
  return { device, read };
}

/** A book in memory, with everything that was noted in it. */
export function stagePushBook(devices: readonly PushDevice[]) {
  const notes: { readonly letter: string; readonly device: string; readonly answer: PushAnswer }[] = [];
  const gone = () => new Set(notes.filter(({ answer }) => answer.kind === 'gone').map(({ device }) => device));
  const book: PushBook = {
    devices: (person) => devices.filter((one) => one.person === person && !gone().has(one.id)),
    taken: (letter) =>
      notes.filter((note) => note.letter === letter && note.answer.kind === 'taken').map(({ device }) => device),
    note: (letter, device, answer) => {
      notes.push({ letter, device: device.id, answer });
    },
  };
  return { book, notes };
}

/** The push service may stand on this computer; all else is as it is in use. */
export function limitsFor(service: PushService, more: Partial<PushLimits> = {}): PushLimits {
  return {
    answerMs: 5000,
    trustedPem: service.cert,
    whyUnfit: () => null,
    lookup: (_host, options, answer) =>
      options.all ? answer(null, [{ address: '127.0.0.1', family: 4 }]) : answer(null, '127.0.0.1', 4),
    ...more,
  };
}
