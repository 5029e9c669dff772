/** What a browser says it runs on, the first that fits. A tablet with Android says no "Mobile" (common practice, no source). */
const kinds: readonly (readonly [RegExp, string])[] = [
  [/iPhone/, 'an iPhone'],
  [/iPad/, 'an iPad'],
  [/Android.*Mobile/, 'an Android phone'],
  [/Android/, 'an Android tablet'],
  [/CrOS/, 'a Chromebook'],
  [/Windows/, 'a Windows computer'],
  [/Macintosh/, 'a Mac'],
  [/Linux|X11/, 'a Linux computer'],
];

/** On what somebody signed in, for a list that people tell their devices apart by; a guess that nothing rests on.
 *  @param userAgent  the header as it came, or undefined
 *  @returns          such as "an Android phone"; "a device" where nothing can be said */
export function deviceOf(userAgent: string | undefined): string {
  return kinds.find(([sign]) => sign.test(userAgent ?? ''))?.[1] ?? 'a device';
}
