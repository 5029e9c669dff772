import { fileURLToPath } from 'node:url';
import { Resvg } from '@resvg/resvg-js';

/** The one face that pictures are written in, so that they look alike on every computer: DejaVu Sans 2.37, unmodified, as
 *  Debian’s package fonts-dejavu-core carries it; its licence lies beside it. */
const font = fileURLToPath(new URL('../../web/fonts/DejaVuSans.ttf', import.meta.url));
/** Twice the width on a phone, so that lines stay sharp, in pixels. */
const widthPixels = 728;
/** Pictures kept: one letter may be tried several times, and go to several people. */
const mostKept = 8;
const kept = new Map<string, Buffer>();

/** A letter's drawing as PNG: mail programs show no SVG. The same drawing gives the same bytes. */
export function drawPng(svg: string): Buffer {
  const before = kept.get(svg);
  if (before !== undefined) return before;
  const image = new Resvg(svg, {
    fitTo: { mode: 'width', value: widthPixels },
    font: { loadSystemFonts: false, fontFiles: [font], defaultFontFamily: 'DejaVu Sans' },
  });
  const png = image.render().asPng();
  const oldest = kept.keys().next().value;
  if (kept.size >= mostKept && oldest !== undefined) kept.delete(oldest);
  kept.set(svg, png);
  return png;
}
