/** A line that went or came, or one above that says what it belongs to. */
export interface ChangedLine {
  readonly sign: '-' | '+' | ' ';
  readonly text: string;
}

/** Beyond so many pairs of lines all of them count as gone and come: no form changes that many. */
const mostPairs = 4_000_000;

/** What went out of a text and what came, in the order of the lines, each run under the lines that it stands below: those further
 *  left that lead to it. Blank lines that came are left out. Equal texts give nothing.
 *  Source: the longest common subsequence, as in Hunt and McIlroy (1976), An algorithm for differential file comparison; from memory. */
export function lineChanges(before: string, after: string): readonly ChangedLine[] {
  const [old, now] = [linesOf(before), linesOf(after)];
  let head = 0;
  while (head < old.length && head < now.length && old[head] === now[head]) head += 1;
  let tail = 0;
  while (tail < old.length - head && tail < now.length - head && old.at(-1 - tail) === now.at(-1 - tail)) tail += 1;
  const marks = compare(old.slice(head, old.length - tail), now.slice(head, now.length - tail));
  const lines: ChangedLine[] = [];
  const shown = new Set<number>();
  let at = head;
  let isRun = false;
  for (const { sign, text } of marks) {
    if (sign !== ' ' && !isRun) {
      for (const above of leadingTo(now, at, indentOf(text)).filter((line) => !shown.has(line))) {
        shown.add(above);
        lines.push({ sign: ' ', text: now[above] ?? '' });
      }
    }
    isRun = sign !== ' ';
    if (sign === '-' || (sign === '+' && text.trim() !== '')) lines.push({ sign, text });
    if (sign === '+') shown.add(at);
    if (sign !== '-') at += 1;
  }
  return lines;
}

function linesOf(text: string): readonly string[] {
  return text.split(/\r?\n/);
}

/** Places of the lines above `at` that lead to one as far in as `indent`, outermost first. */
function leadingTo(lines: readonly string[], at: number, indent: number): readonly number[] {
  const found: number[] = [];
  let least = indent;
  for (let above = at - 1; above >= 0 && least > 0; above -= 1) {
    const line = lines[above] ?? '';
    if (/^\s*(#|$)/.test(line) || indentOf(line) >= least) continue;
    least = indentOf(line);
    found.unshift(above);
  }
  return found;
}

function indentOf(line: string): number {
  return /^ */.exec(line)?.[0].length ?? 0;
}

function compare(gone: readonly string[], came: readonly string[]): readonly ChangedLine[] {
  const all = (sign: '-' | '+', texts: readonly string[]) => texts.map((text) => ({ sign, text }));
  if (gone.length * came.length > mostPairs) return [...all('-', gone), ...all('+', came)];
  const width = came.length + 1;
  // The most lines in common behind each pair of places.
  const common = new Uint32Array((gone.length + 1) * width);
  const commonAt = (left: number, right: number) => common[left * width + right] ?? 0;
  for (let left = gone.length - 1; left >= 0; left -= 1)
    for (let right = came.length - 1; right >= 0; right -= 1)
      common[left * width + right] =
        gone[left] === came[right]
          ? commonAt(left + 1, right + 1) + 1
          : Math.max(commonAt(left + 1, right), commonAt(left, right + 1));
  const marks: ChangedLine[] = [];
  let [left, right] = [0, 0];
  while (left < gone.length || right < came.length) {
    const [old, fresh] = [gone[left], came[right]];
    if (old !== undefined && old === fresh) {
      marks.push({ sign: ' ', text: old });
      left += 1;
      right += 1;
    } else if (old !== undefined && (fresh === undefined || commonAt(left + 1, right) >= commonAt(left, right + 1))) {
      marks.push({ sign: '-', text: old });
      left += 1;
    } else {
      marks.push({ sign: '+', text: fresh ?? '' });
      right += 1;
    }
  }
  return marks;
}
