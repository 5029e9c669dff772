/** A household of one machine with a sensor, for what a feed costs.
 *  @param feed  as a machine's file says it, read */
export function householdWith(feed) {
  const machine = {
    id: 'yard-mower',
    name: 'The mower in the yard',
    planId: 'mower',
    has: [],
    covers: [],
    places: [],
    meter: { kind: 'meter', counts: 'clock', changes: [] },
    expect: { season: 'summer' },
    feed,
    since: '2031-01-01',
    gone: false,
    last: {},
    never: {},
    tasks: [],
  };
  return { household: { zone: 'Europe/Lisbon', hemisphere: 'north', locale: 'en-GB' }, machines: [machine] };
}
