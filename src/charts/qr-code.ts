import { create } from 'qrcode';
import { escapeText } from './escape.js';

/** Blank modules on every side, without which readers do not find the symbol. */
const quietZone = 4;

/** An address as a square of black and white to be read from paper by a phone: one path, one unit a module, sharp at any size.
 *  @param address  of a page, at most about 1,000 letters
 *  @param title    what it leads to, for who does not see it; its text is escaped
 *  @returns        an SVG element, black on white, without colours of the page
 *  @throws         Error of the library where the address does not fit any size
 *  Source: ISO/IEC 18004, level M (some 15 in 100 of its code words may be dirty), quiet zone of four modules, from memory. */
export function drawQrCode(address: string, title: string): string {
  const { modules } = create(address, { errorCorrectionLevel: 'M' });
  const side = modules.size + 2 * quietZone;
  let path = '';
  for (let row = 0; row < modules.size; row += 1) {
    let column = 0;
    while (column < modules.size) {
      const from = column;
      while (column < modules.size && modules.get(row, column) === 1) column += 1;
      if (column > from) path += `M${from + quietZone} ${row + quietZone}h${column - from}v1h-${column - from}z`;
      else column += 1;
    }
  }
  return (
    `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${side} ${side}" role="img" aria-label="${escapeText(title)}" shape-rendering="crispEdges">` +
    `<rect width="${side}" height="${side}" fill="#fff"/><path d="${path}" fill="#000"/></svg>`
  );
}
