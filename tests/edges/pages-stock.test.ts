import { expect, test } from 'vitest';
import { confirmVisit } from '../../src/ledger/confirm-visit.js';
import { gather } from '../../src/ledger/gather.js';
import { openPages } from '../stage/open-pages.js';

test('what is at home is counted by hand, lessens what is to buy, and counts down when the work is confirmed', async () => {
  const pages = await openPages();
  try {
    const machine = pages.books.home().machines.find(({ id }) => id === 'bank-tractor');
    const task = machine?.tasks.find(
      ({ parts, fluids, by }) => by === 'owner' && parts.length > 0 && fluids.length > 0,
    );
    const [part] = task?.parts ?? [];
    if (machine === undefined || task === undefined || part === undefined) throw new Error('a job uses a part');
    const field = `amount ${part.name.toLowerCase()}`;
    const stock = () => gather(pages.books).machines.find((one) => one.machine === machine.id)?.stock ?? {};
    const address = `/machines/${machine.id}/stock`;
    expect((await pages.get(`/machines/${machine.id}`)).text).toContain(`href="${address}"`);
    expect((await pages.get(address)).text).toContain(`name="${field}"`);

    const wrong = await pages.post(address, { [field]: 'a few' });
    expect(wrong.status).toBe(400);
    expect(stock()).toEqual({});
    expect((await pages.post(address, { [field]: '3,5' })).status).toBe(303);
    expect(stock()).toEqual({ [part.name.toLowerCase()]: 3.5 });
    expect((await pages.post(address, { [field]: String(part.quantity + 2) })).status).toBe(303);

    const answer = confirmVisit(pages.books, {
      visit: { id: `${task.id}-by-hand`, machine: machine.id, tasks: [task.id] },
      tasks: [task.id],
      day: pages.outlook().today,
      hours: null,
      by: null,
      door: 'page',
      note: null,
      minutes: null,
      findings: [],
      key: null,
    });
    expect(answer.kind).toBe('recorded');
    expect(stock()[part.name.toLowerCase()]).toBe(2);
    expect((await pages.get(address)).text).toMatch(new RegExp(`name="${field}"[^>]*value="2"`));
    // Emptied, it says that nothing is left.
    await pages.post(address, { [field]: '' });
    expect(stock()[part.name.toLowerCase()]).toBe(0);
    expect(pages.errors).toEqual([]);
  } finally {
    await pages.close();
  }
});

test('a household with US units counts fluids in quarts; sent again unchanged the amount stays what it was', async () => {
  const pages = await openPages({ units: 'us' });
  try {
    const machine = pages.books.home().machines.find(({ id }) => id === 'bank-tractor');
    const fluid = machine?.tasks.find(({ by, fluids }) => by === 'owner' && fluids.length > 0)?.fluids[0];
    if (machine === undefined || fluid === undefined) throw new Error('a job uses a fluid');
    const name = fluid.name.toLowerCase();
    const address = `/machines/${machine.id}/stock`;
    const stock = () => gather(pages.books).machines.find((one) => one.machine === machine.id)?.stock[name];
    expect((await pages.get(address)).text).toMatch(new RegExp(`${name}, US qt</span>`, 'i'));
    await pages.post(address, { [`amount ${name}`]: '3.3' });
    // 1 US qt is 0.946 352 946 L: NIST SP 811 (2008) Appendix B.8.
    expect(stock()).toBeCloseTo(3.3 * 0.946352946, 6);
    expect((await pages.get(address)).text).toMatch(new RegExp(`name="amount ${name}"[^>]*value="3.3"`));
    const before = stock();
    await pages.post(address, { [`amount ${name}`]: '3.3' });
    expect(stock()).toBe(before);
  } finally {
    await pages.close();
  }
});
