import { computeForecastLines } from './compute-forecast.js';

/** `shedbell compute forecast`: JSON Lines in, JSON Lines out. */
export function runComputeForecast(): Promise<number> {
  process.stdin.setEncoding('utf8');
  return computeForecastLines(process.stdin, (line) => {
    process.stdout.write(`${line}\n`);
  });
}
