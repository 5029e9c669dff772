import { dayOf, timeOfDayAt, type Zone } from '../domain/day.js';
import type { HeardEffect, HeardMessage, TakenFor } from '../domain/results/heard.js';
import { sayDecimal } from './counts.js';
import { ended, shortened } from './sentence.js';

/** Characters of a payload that are shown. Common practice, no source. */
const mostShown = 40;

/** Less than this would read as “0 s more”. */
const leastSaidSeconds = 0.05;

/** One message of a sensor on one line, for a person who sets it up: when it came, what stood in it, what it is taken for and what
 *  that changes, or why it is refused: `14:03:12 barn/pump/run “3610”: 3,610 s on the counter; 10 s more, 12.4 h in all.`
 *  @param message  of one feed
 *  @param zone     of the household, in which the time is said
 *  @returns        without control or direction characters, whatever came
 *  Source: common practice, no source. */
export function sayHeard(message: HeardMessage, zone: Zone): string {
  const seconds = String(Math.floor(message.atMs / 1000) % 60).padStart(2, '0');
  const came = `${timeOfDayAt(message.atMs, zone)}:${seconds} ${message.topic} ${sayPayload(message)}`;
  const kept = message.isRetained ? 'kept by the broker from before; ' : '';
  const { taken } = message;
  const meant =
    taken.kind === 'refused'
      ? `refused: ${ended(taken.reason)} Nothing changes.`
      : `${sayTaken(taken.as, taken.effect)}${sayEffect(taken.as, taken.effect)}${sayDoubted(message, zone)}.`;
  return `${came}: ${kept}${meant}`.replace(/\p{C}/gu, '·');
}

function sayDoubted({ isDeviceTimeDoubted, deviceAtMs }: HeardMessage, zone: Zone): string {
  if (!isDeviceTimeDoubted || deviceAtMs === null) return '';
  const own = `${dayOf(deviceAtMs, zone)} ${timeOfDayAt(deviceAtMs, zone)}`;
  return `; the sensor's own time, ${own}, cannot be right: taken as of when it came`;
}

function sayPayload({ sample, bytes }: HeardMessage): string {
  if (bytes === 0) return '(empty)';
  const shown = shortened(sample, mostShown);
  return bytes > 80 ? `“${shown}” (${sayDecimal(bytes, 0)} bytes)` : `“${shown}”`;
}

function sayTaken(as: TakenFor, { isRunning, isHolding }: HeardEffect): string {
  switch (as.kind) {
    case 'running':
      return as.isRunning ? 'the engine runs' : 'the engine stands still';
    case 'run-seconds':
      return `${sayDecimal(as.seconds, 1)} s on the counter`;
    case 'meter-hours':
      return `${sayDecimal(as.hours, 2)} h on the meter`;
    case 'voltage':
      return `${sayDecimal(as.volts, 2)} V, ${sayByVoltage(isRunning === true, isHolding)}`;
    case 'alive':
      return 'the sensor is there';
    case 'gone':
      return 'the sensor is gone; hours from here on are estimated';
  }
}

function sayByVoltage(isRunning: boolean, isHolding: boolean): string {
  if (isHolding) return `which has not held long enough yet to count as ${isRunning ? 'standing still' : 'running'}`;
  return isRunning ? 'the engine runs' : 'the engine stands still';
}

function sayEffect(as: TakenFor, effect: HeardEffect): string {
  if (effect.isBaseline) return '; the first value, from which it counts';
  const again = effect.isRestart ? '; the counter began again from zero' : '';
  if (effect.countedSeconds >= leastSaidSeconds) {
    const total = `${sayLength(effect.totalSeconds)} in all`;
    return as.kind === 'meter-hours'
      ? `; ${sayDecimal(effect.countedSeconds / 3600, 2)} h more`
      : `${again}; ${sayLength(effect.countedSeconds)} more, ${total}`;
  }
  if (effect.isRestart) return again;
  if (as.kind === 'alive' || as.kind === 'gone') return '';
  if (effect.isHolding) return '';
  if (!effect.isNews || effect.countedSeconds > 0) return '; nothing new';
  return effect.isRunning === true ? '; it counts from here on' : '';
}

function sayLength(seconds: number): string {
  return seconds < 600 ? `${sayDecimal(seconds, 1)} s` : `${sayDecimal(seconds / 3600, 2)} h`;
}
