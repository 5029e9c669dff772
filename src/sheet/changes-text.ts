import type { CautionRef } from '../domain/cautions.js';
import type { MachineTraits } from './machine-traits.js';
import type { Change } from './state.js';

/** A change of state in words, and the cautions that stand above it. Ids of covers and fittings are read as words.
 *  @param takesWheelsOff  a wheel comes off in this visit: its bolts are cracked loose before anything is raised
 *  @returns  one sentence for a line of its own
 *  Source: common practice, no source. */
export function sayChange(
  change: Change,
  traits: MachineTraits,
  takesWheelsOff: boolean,
): { readonly text: string; readonly cautions: readonly CautionRef[] } {
  const keyOut = traits.hasKey ? ', take out the key and wait' : ' and wait';
  const held = traits.isSaw ? ' on the ground, sheath off, with the chain brake on' : '';
  const ready = `Outdoors${traits.hasPlugLead ? ', plug lead on' : ''}`;
  const leadOff = traits.hasPlugLead && !traits.hasKey ? ', then the plug lead off' : '';
  switch (change.kind) {
    case 'run-warm':
      return {
        text: `${ready}: start it${held} and run the engine 5 to 10 minutes, then stop it${keyOut} until nothing turns${leadOff}.`,
        cautions: ['exhaust-indoors', 'hot-exhaust'],
      };
    case 'warm-up':
      return {
        text: `${ready}: start the engine${held} and let it run 5 to 10 minutes until it is warm. It stays running.`,
        cautions: ['exhaust-indoors', 'rotating-parts'],
      };
    case 'start':
      return {
        text: `${ready}: tools clear, nobody near; start the engine${held}. It stays running.`,
        cautions: ['exhaust-indoors', 'rotating-parts'],
      };
    case 'stop':
      return { text: `Stop the engine${keyOut} until nothing turns${leadOff}.`, cautions: [] };
    case 'brief':
      return {
        text: `${ready}: the engine runs only for a moment in what follows and is stopped before it warms up${traits.isSaw ? '; a saw is started on the ground with the chain brake on' : ''}${traits.hasKey ? '; key out after it' : traits.hasPlugLead ? '; plug lead off after it' : ''}.`,
        cautions: ['exhaust-indoors'],
      };
    case 'cool-down':
      return {
        text: 'Leave the engine until it is cold to the touch, three quarters of an hour or so.',
        cautions: ['hot-exhaust'],
      };
    case 'raise':
      return {
        text: `${takesWheelsOff ? 'Bolts of wheels that come off are cracked loose first, on the ground. ' : ''}Chock the wheels that stay down, raise the ${change.end}, set it on stands at its rated points, push to try.`,
        cautions: change.end === 'rear' ? ['under-raised-machine', 'raised-rear-brake'] : ['under-raised-machine'],
      };
    case 'lower':
      return { text: `Nobody near or below: lower the ${change.end}, stands away.`, cautions: [] };
    case 'cover-off':
      return { text: `Open or take off: ${asWords(change.cover)}. Screws into a tin.`, cautions: [] };
    case 'cover-on':
      return { text: `Refit and fasten: ${asWords(change.cover)}.`, cautions: [] };
    case 'fitting-off':
      return {
        text: `Take off: ${asWords(change.fitting)}, as its own manual says, set down on firm ground so that it stands by itself.`,
        cautions: [
          ...(traits.warnsOf('hydraulic-pressure') ? ['hydraulic-pressure'] : []),
          ...(change.fitting === 'loader' ? ['loader-stands'] : []),
        ],
      };
    case 'fitting-on':
      return {
        text: `Put back on: ${asWords(change.fitting)}, as its own manual says, pins in and secured.`,
        cautions: traits.onWheels ? ['implement-falls'] : [],
      };
    case 'battery-off':
      return {
        text: 'Disconnect the battery: negative lead first, then positive; tie both back.',
        cautions: ['battery-short'],
      };
    case 'battery-on':
      return { text: 'Connect the battery: positive lead first, negative lead last.', cautions: ['battery-short'] };
  }
}

function asWords(id: string): string {
  return id.replaceAll('-', ' ');
}
