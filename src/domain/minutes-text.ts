/** Minutes of work: `45 min`, `1 h`, `1 h 50`; rounded to whole minutes, below zero counts as zero.
 *  @param minutes  finite
 *  Source: common practice, no source. */
export function sayMinutes(minutes: number): string {
  const whole = Number.isFinite(minutes) ? Math.max(0, Math.round(minutes)) : 0;
  const hours = Math.floor(whole / 60);
  const rest = whole % 60;
  if (hours === 0) return `${rest} min`;
  return rest === 0 ? `${hours} h` : `${hours} h ${String(rest).padStart(2, '0')}`;
}
