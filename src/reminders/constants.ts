/** Days before the last day to order at which `parts` goes out: room for the day to move and for a missed evening. */
export const partsMarginDays = 7;

/** A `parts` notice rides along with another message this many days before its own time. */
export const partsRideDays = 35;

/** What was to be bought so long ago for a visit that did not come about is named again, days. */
export const partsAgainDays = 90;

/** Days a `work` notice is left alone when nobody reacts: the next-but-one weekend. Twice as long each time after that, up to sixteen weeks. */
export const workAgainDays = 14;

/** The same after a reading came in, which is an answer: the next weekend. */
export const workAgainAfterReadingDays = 6;

/** A dealer wants booking: the notice goes out this many days before. */
export const dealerAheadDays = 14;

/** The visit for getting to know a machine is said up to this many days before, since it is planned no nearer. */
export const gettingToKnowAheadDays = 2;

/** `late` is said when being past the tolerance is likelier than this. */
export const pLateToSay = 0.5;

/** Days after the first `late`-worthy silence; each further one waits twice as long: 7, 14, 28, 56, 112. */
export const firstLateGapDays = 7;

/** So often that wait doubles: what is late is named every sixteen weeks in the end, as a call to work that nobody answers. */
export const mostLateDoublings = 4;

/** Past its due by this long, `late` is said even where no `work` ever went out. */
export const longPastDays = 14;

/** What the answer to a question costs a person, in whole intervals wasted: most of a trip for nothing, which tells as much
 *  and may find the work due. At the full cost of a trip hardly a question would be worth asking; at half of it (tried) there
 *  were twice as many questions and hardly fewer trips. */
export const askCost = 0.17;

/** What a trip to the machine costs when it turns out too early to work, in whole intervals wasted. */
export const wastedTripCost = 0.2;

/** Equally likely hours over which the worth of a reading is averaged. */
export const askLevels = 15;

/** A reading this young still tells enough, days. */
export const readingAgeDays = 4;

/** Days between two questions about one machine; where nobody answers twice as long each time, up to eight weeks. */
export const askGapDays = 7;

/** Only visits this near can make a reading worth asking for, days. */
export const askAheadDays = 42;

/** A reading this old may hide that habits changed, days. */
export const oldReadingDays = 180;

/** Use so many times as strong as foreseen is what a change of habits may bring. Own choice, measured with tests/score/policy.mjs on 14 machines,
 *  seeds 1 and 2, as questions and trips in vain a machine-year at limits of 100 and 200 h: after 120 days with 3 it was 4.00 and 1.89, after 180
 *  days with 3 it was 3.79 and 1.71, after 180 days with 2 it was 3.64 and 1.52, and 3.54 and 1.29 without any such question. */
export const changedPace = 2;

/** Days between two questions about an old reading when nobody answers. */
export const oldQuestionDays = 42;

/** Evenings on which to ask: so many days before a working day, so that answers come in before it. */
export const askBeforeWorkDays = { least: 3, most: 4 };

/** Days a question may hold back the `work` notice that its answer would change: no longer than until the evening before the working day
 *  that it was asked for, so that nobody hears of the day on its own morning. */
export const answerDays = askBeforeWorkDays.least - 1;

/** Days between the coming working day and the one on which work would be done if not then. */
export const weekDays = 7;

/** A feed heard within this many days covers its machine: nobody is asked to read the meter. */
export const feedFreshDays = 14;

/** The service looks again after this long at the latest, days... */
export const lookAgainDays = 7;

/** ...and after this long at the earliest, minutes. */
export const lookAgainMinutes = 1;
