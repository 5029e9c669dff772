import type { Sheet } from '../domain/results/sheet.js';
import type { Task } from '../domain/task.js';
import { gather } from '../ledger/gather.js';
import { sheetOf } from '../outlook/sheet-of.js';
import { sayDay, sayMinutes } from '../words/dates.js';
import { anotherFluid, sayFluidRoom } from '../words/fluid-used.js';
import { saySheetLine } from '../words/sheet.js';
import { sayItem, sayPerhaps, sayToBuy } from '../words/shopping.js';
import { isLookFirst } from '../words/visit.js';
import type { At } from './at.js';
import { visitNamed, withService } from './open-home.js';
import { BadInput, type Output, print } from './output.js';

/** `shedbell sheet VISIT`: the visit written out in working order. */
export function runSheet(at: At, id: string, options: { readonly json?: true }, out: Output): Promise<number> {
  return withService(at, (service, home) => {
    const visit = visitNamed(service, id);
    const sheet = sheetOf(home, gather(service.books), visit);
    if (sheet === null) throw new BadInput(`The machine ${visit.machine} is no longer in the home folder.`);
    const { household } = home;
    const day = sayDay(visit.day, service.latest().today, household.locale);
    print(out, options.json === true, sheet, [
      `${sheet.machineName}, ${day}, about ${sayMinutes(sheet.minutes)}`,
      ...sheetLines(sheet, household.units, isLookFirst(visit)),
      ...fluidLines(home.machines.find(({ id }) => id === visit.machine)?.tasks ?? [], visit.tasks, household.units),
    ]);
    return 0;
  });
}

function fluidLines(tasks: readonly Task[], ids: readonly string[], units: 'metric' | 'us'): string[] {
  const rooms = tasks
    .filter(({ id, by }) => by === 'owner' && ids.includes(id))
    .flatMap((task) => task.fluids.map((fluid) => `    [ ] ${sayFluidRoom(fluid, task, units)}`));
  return rooms.length === 0 ? [] : ['', `${anotherFluid}:`, ...rooms];
}

/** @param buysLater  before a first look nothing is bought */
function sheetLines(sheet: Sheet, units: 'metric' | 'us', buysLater: boolean): string[] {
  return [
    ...sheet.head,
    sheet.comesFirst,
    ...(sheet.cautions.length === 0
      ? []
      : [`The worst dangers: ${sheet.cautions.map((c) => `${c.signal} ${c.short}`).join('; ')}.`]),
    ...(sheet.tools.length === 0 ? [] : [`Tools: ${sheet.tools.join(', ')}`]),
    ...sheet.shopping.flatMap((item) => {
      if (item.toBuy <= 0) return [`Have at hand: ${sayItem(item, units)}`];
      return buysLater ? [] : [`To buy: ${sayToBuy(item, units)}`];
    }),
    ...sheet.perhaps.map((item) => `Perhaps, only if something is out: ${sayPerhaps(item, units)}`),
    ...sheet.noticed.map((text) => `Noticed: ${text}`),
    ...sheet.lines.flatMap(saySheetLine),
  ];
}
