import { expect, it } from 'vitest';
import { drawQrCode } from './qr-code.js';

/** The modules of a drawing without its quiet zone, read back from its path. */
function modulesOf(svg: string): boolean[][] {
  const side = Number(/viewBox="0 0 (\d+)/.exec(svg)?.[1]);
  const path = /<path d="([^"]*)"/.exec(svg)?.[1] ?? '';
  const dark = Array.from({ length: side }, () => Array.from({ length: side }, () => false));
  for (const [, x, y, width] of path.matchAll(/M(\d+) (\d+)h(\d+)v1h-\d+z/g)) {
    for (let at = 0; at < Number(width); at += 1) (dark[Number(y)] ?? [])[Number(x) + at] = true;
  }
  return dark.slice(4, side - 4).map((row) => row.slice(4, side - 4));
}

const maskOf: readonly ((row: number, column: number) => boolean)[] = [
  (i, j) => (i + j) % 2 === 0,
  (i) => i % 2 === 0,
  (_i, j) => j % 3 === 0,
  (i, j) => (i + j) % 3 === 0,
  (i, j) => (Math.floor(i / 2) + Math.floor(j / 3)) % 2 === 0,
  (i, j) => ((i * j) % 2) + ((i * j) % 3) === 0,
  (i, j) => (((i * j) % 2) + ((i * j) % 3)) % 2 === 0,
  (i, j) => (((i + j) % 2) + ((i * j) % 3)) % 2 === 0,
];

/** A reader of our own for versions 2 and 3, one block of bytes, without mending.
 *  ISO/IEC 18004: format word XOR 101010000010010, masks, codewords in pairs of columns from the right; from memory. */
function readQrCode(dark: readonly (readonly boolean[])[]): { readonly level: number; readonly text: string } {
  const size = dark.length;
  const bit = (row: number, column: number) => (dark[row]?.[column] === true ? 1 : 0);
  const format = [0, 1, 2, 3, 4].reduce((word, column) => word * 2 + bit(8, column), 0) ^ 0b10101;
  const mask = maskOf[format & 7];
  const isFunction = (row: number, column: number) =>
    (row < 9 && column < 9) ||
    (row < 9 && column >= size - 8) ||
    (row >= size - 8 && column < 9) ||
    row === 6 ||
    column === 6 ||
    (Math.abs(row - (size - 7)) <= 2 && Math.abs(column - (size - 7)) <= 2);
  const bits: number[] = [];
  let isUp = true;
  for (let right = size - 1; right > 0; right -= 2) {
    if (right === 6) right -= 1;
    for (let step = 0; step < size; step += 1) {
      const row = isUp ? size - 1 - step : step;
      for (const column of [right, right - 1]) {
        if (!isFunction(row, column)) bits.push(bit(row, column) ^ (mask?.(row, column) === true ? 1 : 0));
      }
    }
    isUp = !isUp;
  }
  const number = (from: number, count: number) => bits.slice(from, from + count).reduce((sum, one) => sum * 2 + one, 0);
  expect(number(0, 4), 'bytes').toBe(0b0100);
  const letters = Array.from({ length: number(4, 8) }, (_, at) => number(12 + 8 * at, 8));
  return { level: format >> 3, text: new TextDecoder().decode(Uint8Array.from(letters)) };
}

it('an address drawn as a square is read back, letter by letter, with level M', () => {
  for (const address of ['http://shed.test/visits/a', 'https://barn.example/visits/saw-2']) {
    expect(readQrCode(modulesOf(drawQrCode(address, 'The page')))).toEqual({ level: 0, text: address });
  }
});

it('around it four modules stay white, and what it leads to is escaped', () => {
  const svg = drawQrCode('https://barn.example/visits/saw-chain-and-bar-2/sheet', 'Saw <1> & "bar"');
  expect(svg).toContain('aria-label="Saw &lt;1&gt; &amp; &quot;bar&quot;"');
  const side = Number(/viewBox="0 0 (\d+)/.exec(svg)?.[1]);
  expect((side - 8 - 17) % 4).toBe(0);
  for (const [, x, y, width] of svg.matchAll(/M(\d+) (\d+)h(\d+)/g)) {
    expect(Math.min(Number(x), Number(y))).toBeGreaterThanOrEqual(4);
    expect(Math.max(Number(x) + Number(width), Number(y) + 1)).toBeLessThanOrEqual(side - 4);
  }
});
