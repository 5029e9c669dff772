declare module 'http_ece' {
  import type { ECDH } from 'node:crypto';

  interface Parameters {
    readonly version: 'aes128gcm';
    readonly privateKey: ECDH;
    readonly authSecret: string;
    readonly dh?: string;
    readonly salt?: string;
  }
  export function encrypt(plain: Buffer, parameters: Parameters): Buffer;
  export function decrypt(body: Buffer, parameters: Parameters): Buffer;
}
