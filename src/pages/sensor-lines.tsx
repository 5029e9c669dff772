import { hearSensor } from '../domain/feed-silence.js';
import { sayRunTime } from '../words/hours.js';
import { saySensorRatio, saySensorSilence } from '../words/sensor.js';
import { Figures } from './pieces.js';
import type { Shown } from './shown.js';

/** What is known from a machine's run-time sensor: its count, how it goes with the meter, and since when it is silent. */
export function SensorLines({ shown }: { readonly shown: Shown }) {
  const { machine, facts, ahead, outlook, household } = shown;
  const heard = hearSensor(machine, facts.feedTotal, outlook.nowMs);
  const silence = heard === null ? null : saySensorSilence(heard, outlook.today, household.zone, household.locale);
  const ratio = ahead?.feedRatio ?? null;
  const counted = [
    ...(facts.feedTotal === null ? [] : [`Its sensor has counted ${sayRunTime(facts.feedTotal.runSeconds)}.`]),
    ...(ratio === null ? [] : [saySensorRatio(ratio)]),
  ].join(' ');
  return (
    <>
      {counted === '' ? null : (
        <p class="second">
          <Figures text={counted} />
        </p>
      )}
      {silence === null ? null : <p class="said">{silence}</p>}
    </>
  );
}
