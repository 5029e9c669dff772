const mark = '{"figure":';

/** Prints a figure as one JSON line, for the table of all.mjs. Every part ends with such lines.
 *  @param line   what is measured, and against what; the same in every run
 *  @param values one for each run
 *  @param aim    { most } or { least }, in the unit of the values; none where a figure has no aim
 *  @param unit   empty for a ratio */
export function figure(line, values, aim = {}, unit = '') {
  if (!values.every(Number.isFinite)) throw new Error(`${line}: not a number in ${values.join(' ')}`);
  console.log(
    `${mark}${JSON.stringify(line)},"values":${JSON.stringify(values)},"aim":${JSON.stringify(aim)},"unit":"${unit}"}`,
  );
}

/** @returns the figures in what a part printed */
export function figuresIn(text) {
  return text
    .split('\n')
    .filter((row) => row.startsWith(mark))
    .map((row) => JSON.parse(row));
}
