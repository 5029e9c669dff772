/** How a hand slips when it copies a meter: in the digits, or at the wrong meter. */
export type Slip =
  | 'missing-point'
  | 'extra-point'
  | 'misplaced-point'
  | 'swapped'
  | 'doubled'
  | 'dropped'
  | 'lost'
  | 'wrong-digit'
  | 'other-machine'
  | 'last-meter';

/** Something else that the same hand may have meant, with how often that slip happens against the others. */
export interface Candidate {
  readonly hours: number;
  readonly slip: Slip;
  readonly weight: number;
}

/** Relative frequency of the slips, each shared by its candidates. Common practice, no source: a meter that shows tenths invites a lost point. */
const frequencies: Readonly<Record<Slip, number>> = {
  'missing-point': 0.4,
  'extra-point': 0.05,
  'misplaced-point': 0.05,
  swapped: 0.2,
  doubled: 0.1,
  dropped: 0.1,
  lost: 0.1,
  'wrong-digit': 0.15,
  'other-machine': 0.15,
  'last-meter': 0.1,
};

/** Shares a slip's frequency among so many ways in which it could have happened.
 *  @param ways  at least 1
 *  Source: common practice, no source. */
export function slipWeight(slip: Slip, ways: number): number {
  return frequencies[slip] / ways;
}
/** What may have been meant by a number that was typed: a lost or extra decimal point, or one in the wrong place; neighbours swapped; a
 *  digit doubled, left out or wrong.
 *  @param hours  as typed, >= 0, finite
 *  @returns      each candidate once, under its likeliest slip; never the typed number itself */
export function meantBy(hours: number): Candidate[] {
  const typed = text(hours);
  const digits = typed.replace('.', '');
  const point = typed.includes('.') ? typed.indexOf('.') : typed.length;
  const found = new Map<string, Candidate>();
  const offer = (slip: Slip, candidates: readonly string[]) => {
    const values = [...new Set(candidates.map((candidate) => text(Number(candidate))))].filter(
      (value) => value !== typed,
    );
    for (const value of values) {
      const weight = slipWeight(slip, values.length);
      const known = found.get(value);
      if (known === undefined || known.weight < weight) found.set(value, { hours: Number(value), slip, weight });
    }
  };
  const places = Array.from(digits, (_, i) => i);
  const withPoint = (changed: string, at: number) => `${changed.slice(0, at) || '0'}.${changed.slice(at)}`;
  if (!typed.includes('.')) offer('missing-point', digits.length > 1 ? [withPoint(digits, digits.length - 1)] : []);
  else {
    offer('extra-point', [digits]);
    // One place too far to the left or to the right.
    offer('misplaced-point', [
      ...(point > 1 ? [withPoint(digits, point - 1)] : []),
      ...(point + 1 < digits.length ? [withPoint(digits, point + 1)] : []),
    ]);
  }
  offer(
    'swapped',
    places
      .slice(1)
      .map((i) =>
        withPoint(digits.slice(0, i - 1) + digits.charAt(i) + digits.charAt(i - 1) + digits.slice(i + 1), point),
      ),
  );
  // A digit typed twice: take one of the two away. The point keeps its place from the right.
  offer(
    'doubled',
    places
      .filter((i) => i > 0 && digits[i] === digits[i - 1])
      .map((i) => withPoint(digits.slice(0, i) + digits.slice(i + 1), i < point ? point - 1 : point)),
  );
  // One typed once that stands twice.
  offer(
    'dropped',
    places.map((i) =>
      withPoint(digits.slice(0, i) + digits.charAt(i) + digits.slice(i), i < point ? point + 1 : point),
    ),
  );
  // Any digit left out, before the point or before the last one.
  offer(
    'lost',
    Array.from({ length: point + 1 }, (_, i) => i).flatMap((i) =>
      [...'0123456789'].map((digit) => withPoint(digits.slice(0, i) + digit + digits.slice(i), point + 1)),
    ),
  );
  offer(
    'wrong-digit',
    places.flatMap((i) =>
      [...'0123456789'].map((digit) => withPoint(digits.slice(0, i) + digit + digits.slice(i + 1), point)),
    ),
  );
  return [...found.values()];
}

function text(hours: number): string {
  return String(Math.round(hours * 100) / 100);
}
