/** Units that stand behind a number in the words of pages and letters. Left out is what is a word of its own too, such as `in` and `m`. */
const unit = 'h|min|V|mV|kPa|MPa|bar|psi|N\\u0020m|lbf\\u0020ft|lbf|N|mm|cm|mL|L|US\\u0020qt|kg|g|lb|rpm|°C|°F|%';
const numberAndUnit = new RegExp(`(\\d)\\u0020(${unit})(?![\\p{L}\\d])`, 'gu');

/** The text with a number and its unit on one line, such as `1 h 50`, `160 kPa ± 10 kPa` and `90 N m`: the blanks within them become ones
 *  that do not break (U+00A0). Everything else stays as it is.
 *  Source: SI Brochure, 9th edition (2019), section 5.4.3 (a space between number and unit); that a line does not end there is common
 *  practice, no source. */
export function unbroken(text: string): string {
  return text
    .replace(numberAndUnit, (_, digit: string, name: string) => `${digit}\u00a0${name.replace(' ', '\u00a0')}`)
    .replace(/(\u00a0h) (\d\d)(?!\d)/g, '$1\u00a0$2')
    .replace(/± (?=\d)/g, '±\u00a0');
}
