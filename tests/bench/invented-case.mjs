// A question to the forecast for benches to ask.
const dayMs = 86_400_000;
const startMs = Date.UTC(2031, 2, 1);
const words = ['unknown', 'summer', 'spring-autumn', 'winter'];

/** A machine with a season of its own, read now and then; every case differs a little. */
export function aCase(number, readings, years) {
  const nowMs = startMs + number * dayMs;
  const apart = (years * 365) / Math.max(1, readings);
  const list = [];
  let hours = 120 + number;
  for (let i = 0; i < readings; i += 1) {
    const atMs = nowMs - Math.round((readings - i - 0.4) * apart) * dayMs;
    hours +=
      apart * (0.15 + 0.14 * Math.sin((2 * Math.PI * atMs) / dayMs / 365.25 + number) + 0.02 * ((i * 7 + number) % 5));
    list.push({ atMs, hours: Math.round(hours * 10) / 10 });
  }
  return {
    nowMs,
    targetHours: (list.at(-1)?.hours ?? 0) + 20 + (number % 7) * 12,
    readings: list,
    expect: { season: words[number % words.length], hoursPerYear: 60 },
    hemisphere: 'north',
    runs: [],
    coverage: [],
    meters: [],
    notUsedSinceMs: null,
    levels: [0.05, 0.1, 0.25, 0.5, 0.75, 0.9, 0.95],
    probeDays: [7, 30, 90, 180, 365],
  };
}
