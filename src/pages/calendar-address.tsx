import { calendarUrl } from './calendar.js';
import type { Given } from './given.js';
import { newFormKey } from './guard/form.js';
import { KeyField } from './pieces.js';

/** Where calendar programs find the visits ahead, what to know about that address, and how to give it up. */
export function CalendarAddress({ given }: { readonly given: Given }) {
  const { url, key } = calendarUrl(given);
  const opensElsewhere = given.books.home().household.address !== undefined;
  return (
    <section id="calendar">
      <h2>In your calendar</h2>
      <p>
        A calendar program can subscribe to the visits ahead: copy the address of this link into it. Whoever has the
        address can read what it shows, and do nothing else.
      </p>
      <p class="acts">
        <a class="act" href={url}>
          The visits ahead
        </a>
      </p>
      <p class="small">
        {opensElsewhere
          ? 'It must be fetched from within your network: a calendar kept by a company on the internet cannot reach it. '
          : 'As long as household.yaml has no address:, only programs on this computer can fetch it. '}
        Programs look for changes a few times a day at most, so messages remain what to rely on.
      </p>
      <form method="post" action="/calendar/renew">
        <KeyField value={newFormKey()} />
        <input type="hidden" name="was" value={key} />
        <button class="act" type="submit">
          Make a new address; the present one stops working
        </button>
      </form>
    </section>
  );
}
