import { drawHours, type HoursInput } from './hours-over-time.js';

/** Units of the drawing's own coordinates around it. */
const margin = 12;

/** The style sheet of the pages does not reach a mail: the same classes, in colours that stand on their own paper.
 *  Common practice, no source. */
const rules = `
text{font-family:"DejaVu Sans",sans-serif;font-size:12px;fill:#1f2a30}
path{fill:none}
.rule{stroke:#d9d1bd;stroke-width:1}
.axis{stroke:#55636a;stroke-width:1}
.tick{stroke:#55636a;stroke-width:1}
.scale{font-size:11px;fill:#55636a}
.end{text-anchor:end}
.mid{text-anchor:middle}
.span{fill:#8fb3a5;fill-opacity:.55;stroke:none}
.estimate{stroke:#1f2a30;stroke-width:1.8}
.now{stroke:#1f2a30;stroke-width:1.2;stroke-dasharray:1.5 3;stroke-linecap:round}
.target-line{stroke:#8a3b12;stroke-width:1.2;stroke-dasharray:6 3}
.target-name{font-size:12px;fill:#8a3b12;paint-order:stroke;stroke:#faf7ef;stroke-width:3px;stroke-linejoin:round}
.due{stroke:#8a3b12;stroke-width:5;stroke-linecap:round}
.run{fill:#55636a}
.reading{fill:#1f2a30}`;

/** The hours of a machine over time as an SVG that stands alone: colours inside, on an opaque paper, so that it is readable on
 *  a light and on a dark page alike.
 *  @param input  as for `drawHours`
 *  @returns      empty where there is nothing to draw; the same input gives the same text
 *  Source: common practice, no source. */
export function drawMailPicture(input: HoursInput): string {
  const svg = drawHours(input);
  const box = /viewBox="0 0 (\d+) (\d+)"/.exec(svg);
  if (box === null) return '';
  const width = Number(box[1]) + 2 * margin;
  const height = Number(box[2]) + 2 * margin;
  const at = `x="${-margin}" y="${-margin}" width="${width}" height="${height}"`;
  return svg
    .replace(box[0], `viewBox="${-margin} ${-margin} ${width} ${height}" width="${width}" height="${height}"`)
    .replace('>', `><style>${rules}</style><rect ${at} rx="6" fill="#faf7ef"/>`);
}
