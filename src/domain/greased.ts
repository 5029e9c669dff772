import type { Points } from './task.js';

const noGrease = 'takes no grease: ';

/** The points to tick one by one, as a form names them: "left 1", "right 2", or the number alone where there is one side.
 *  @returns  at most 40, more than any hand ticks
 *  Source: common practice, no source. */
export function pointsToTick(points: Points): readonly string[] {
  return sidesOf(points)
    .flatMap((side) =>
      Array.from({ length: points.count }, (_, index) => (side === null ? `${index + 1}` : `${side} ${index + 1}`)),
    )
    .slice(0, 40);
}

/** What was done about points, as a finding: how many of them by side, and which take no grease.
 *  @param ticked   names of pointsToTick; others are passed over, one twice counts once
 *  @param blocked  which take none, in the person's words; null: none told of
 *  @param counts   whether other points of the job were ticked: then none ticked here means that none was greased
 *  @returns        "greased 3 of 4 left, 4 of 4 right; takes no grease: left one"; null where nothing was told
 *                  of the whole job: then the job as it was confirmed says that all took grease
 *  Source: common practice, no source. */
export function greasedFinding(
  points: Points,
  ticked: readonly string[],
  blocked: string | null,
  counts = false,
): string | null {
  const all = pointsToTick(points);
  const done = all.filter((name) => ticked.includes(name));
  const bySide = sidesOf(points).map((side) => {
    const onSide = (name: string) => side === null || name.startsWith(`${side} `);
    const count = `${done.filter(onSide).length} of ${all.filter(onSide).length}`;
    return side === null ? count : `${count} ${side}`;
  });
  const parts = [
    ...(done.length > 0 || (counts && blocked === null) ? [`greased ${bySide.join(', ')}`] : []),
    ...(blocked === null ? [] : [`${noGrease}${blocked}`]),
  ];
  return parts.length === 0 ? null : parts.join('; ');
}

/** The part of such a finding that tells of points without grease; null where all took some.
 *  Source: common practice, no source. */
export function tookNone(finding: string): string | null {
  const at = finding.indexOf(noGrease);
  return at < 0 ? null : finding.slice(at);
}

/** The part of such a finding that tells of points left out; null where all were greased, or some took no grease.
 *  @returns  "greased 3 of 4 left, 4 of 4 right"
 *  Source: common practice, no source. */
export function leftOut(finding: string): string | null {
  const counts = [...finding.matchAll(/\b(\d+) of (\d+)\b/g)];
  const isWhole = counts.every(([, done, all]) => done === all);
  return !finding.startsWith('greased ') || isWhole || tookNone(finding) !== null ? null : finding;
}

function sidesOf({ sides }: Points): readonly ('left' | 'right' | null)[] {
  return sides === 'both' ? ['left', 'right'] : [null];
}
