const small = ['no', 'one', 'two', 'three', 'four', 'five', 'six', 'seven', 'eight', 'nine', 'ten', 'eleven', 'twelve'];

/** A count as people write it: words up to twelve, digits above.
 *  @param count  whole number >= 0; 0 gives `no`, anything else is rounded first
 *  Source: common practice, no source. */
export function sayNumber(count: number): string {
  const whole = Math.max(0, Math.round(count));
  return small[whole] ?? sayDecimal(whole, 0);
}

/** `1 task`, `2 tasks`: digits with the noun in its right form.
 *  @param count   whole number >= 0
 *  @param noun    singular
 *  @param plural  where it is not the singular with an s
 *  Source: common practice, no source. */
export function sayCount(count: number, noun: string, plural = `${noun}s`): string {
  return `${sayDecimal(count, 0)} ${count === 1 ? noun : plural}`;
}

/** A decimal without needless zeros, a comma between thousands, a real minus sign: `4.2`, `1,281`, `−25`.
 *  @param value     finite
 *  @param decimals  most digits behind the point, 0 to 6
 *  @throws RangeError where the value is not finite: NaN is never an answer
 *  Source: common practice, no source. */
export function sayDecimal(value: number, decimals: number): string {
  if (!Number.isFinite(value)) throw new RangeError('only a finite number can be said');
  const rounded = Math.abs(value).toFixed(decimals);
  const plain = decimals === 0 ? rounded : rounded.replace(/\.?0+$/, '');
  const [whole = '0', fraction] = plain.split('.');
  const grouped = whole.replace(/\B(?=(\d{3})+$)/g, ',');
  const text = fraction === undefined ? grouped : `${grouped}.${fraction}`;
  return value < 0 && text !== '0' ? `−${text}` : text;
}

/** `1st`, `2nd`, `11th`, `23rd`.
 *  @param count  whole number >= 1
 *  Source: common practice, no source. */
export function sayOrdinal(count: number): string {
  const lastTwo = count % 100;
  const ending = lastTwo >= 11 && lastTwo <= 13 ? 'th' : (['th', 'st', 'nd', 'rd'][count % 10] ?? 'th');
  return `${count}${ending}`;
}

/** `a`, `a and b`, `a, b and c`; nothing gives an empty text.
 *  @param items  in the order to be said
 *  Source: common practice, no source. */
export function joinAnd(items: readonly string[]): string {
  const last = items.at(-1) ?? '';
  if (items.length < 2) return last;
  return `${items.slice(0, -1).join(', ')} and ${last}`;
}
