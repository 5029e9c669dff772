import { createPrivateKey, generateKeyPairSync, randomBytes, sign } from 'node:crypto';

/** A fresh certificate for `localhost`, signed by its own key, valid for a day around now. Made here, byte by byte, so that
 *  no tool has to be installed. Source: RFC 5280 section 4.1 (certificate), RFC 5758 section 3.2 (ecdsa-with-SHA256), X.690 (DER). */
export function makeCertificate(nowMs: number): { readonly key: string; readonly cert: string } {
  const pair = generateKeyPairSync('ec', {
    namedCurve: 'P-256',
    publicKeyEncoding: { type: 'spki', format: 'der' },
    privateKeyEncoding: { type: 'pkcs8', format: 'pem' },
  });
  const signedWith = sequence(objectId('2a8648ce3d040302'));
  const name = sequence(der(0x31, sequence(objectId('550403'), der(0x0c, Buffer.from('localhost')))));
  const serial = Buffer.concat([Buffer.from([1]), randomBytes(8)]);
  const names = sequence(der(0x82, Buffer.from('localhost')), der(0x87, Buffer.from([127, 0, 0, 1])));
  const extensions = sequence(
    sequence(objectId('551d11'), der(0x04, names)),
    sequence(objectId('551d13'), der(0x01, Buffer.from([0xff])), der(0x04, sequence(der(0x01, Buffer.from([0xff]))))),
  );
  const toSign = sequence(
    der(0xa0, der(0x02, Buffer.from([2]))),
    der(0x02, serial),
    signedWith,
    name,
    sequence(time(nowMs - 86_400_000), time(nowMs + 86_400_000)),
    name,
    pair.publicKey,
    der(0xa3, extensions),
  );
  const signature = sign('sha256', toSign, createPrivateKey(pair.privateKey));
  const whole = sequence(toSign, signedWith, der(0x03, Buffer.concat([Buffer.from([0]), signature])));
  const lines = (whole.toString('base64').match(/.{1,64}/g) ?? []).join('\n');
  return { key: pair.privateKey, cert: `-----BEGIN CERTIFICATE-----\n${lines}\n-----END CERTIFICATE-----\n` };
}

function der(tag: number, content: Buffer): Buffer {
  const length =
    content.length < 0x80
      ? Buffer.from([content.length])
      : content.length < 0x100
        ? Buffer.from([0x81, content.length])
        : Buffer.from([0x82, content.length >> 8, content.length & 0xff]);
  return Buffer.concat([Buffer.from([tag]), length, content]);
}

function sequence(...parts: readonly Buffer[]): Buffer {
  return der(0x30, Buffer.concat(parts));
}

function objectId(hex: string): Buffer {
  return der(0x06, Buffer.from(hex, 'hex'));
}

function time(atMs: number): Buffer {
  const text = new Date(atMs).toISOString().replace(/[-:T]/g, '').slice(2, 14);
  return der(0x17, Buffer.from(`${text}Z`));
}
