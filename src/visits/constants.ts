/** What being late costs, in units of one whole interval wasted. Own choice: with 8, 94 of 100 services of 50 h and 97 of 100 h come
 *  within a tenth of the interval (70 invented machines of four years, `npm run score:policy -- 50 1 1-10` and 100); 12 and 14 (tried on
 *  seeds 11 and 12 at 50 h) brought more trips in vain and no more on time. */
export const lateCost = 8;

/** With more than this share of the interval left a person at the machine only enters the reading: going there in vain costs
 *  as much as wasting this share. */
export const tooEarlyShare = 0.2;

/** Costs are in units of one whole interval wasted. */
export const wholeInterval = 1;

/** What a day past the limit but within its tolerance costs, against a day before it: the limit is meant. */
export const pastLimitWeight = 2;

/** Half the span between the unlikely early and the unlikely late due date (10 % and 90 %) that is left, in intervals, once
 *  somebody reads the meter shortly before: days further ahead are planned as if that had happened. */
export const spanOnceRead = 0.1;

/** Days from one chance to work to the next, for the risk of letting one go by. */
export const nextChanceDays = 7;

/** Share of calls to work that are heeded on their day; the others a week later. Common practice, no source. */
export const goesShare = 0.8;

/** Less than this to gain by going, in intervals, is not looked into. */
export const leastGain = 0.005;

/** Equally likely hours over which what is left of an interval is averaged. */
export const hoursLevels = 15;

/** Minutes of setting up that weigh as much as one whole interval wasted. The usual 20 minutes then cost 0.2, the same as
 *  a trip to the machine for nothing: putting two tasks together pays when it wastes less than a fifth of an interval. */
export const setUpMinutesPerInterval = 100;

/** A day this long before the first limit needs a word why, days: two working weekends. */
export const weeksEarlyDays = 14;

/** A day that work waits in storage past its limit costs this much of what a day given away before it does. Own policy. */
export const waitInStorageWeight = 0.5;

/** A day this long before the likeliest day of the first limit needs a word why, however early that limit may come, days. */
export const monthsEarlyDays = 60;

/** How far ahead visits are planned, days. */
export const horizonDays = 730;

/** Working days past the horizon that a task due at its very end may still fall on, days. */
export const overhangDays = 42;

/** Until this time of day a working day can still be proposed for itself, when the evening before was missed. */
export const morningEnds = '12:00';

/** An announced day stays as long as another would save less than this, in intervals: about a week of a yearly task. */
export const keepDayMargin = 0.03;

/** Announced tasks stay together as long as regrouping would save less than this, in intervals: half a set-up. */
export const keepGroupMargin = 0.1;

/** Waste, in intervals, from which a task in someone else's visit counts as pulled forward on purpose... */
export const pulledForwardShare = 0.05;

/** ...if its own best day lies more than this many days later. */
export const pulledForwardDays = 13;

/** Days from setting up a machine of unknown past to the first day proposed for getting to know it: not tomorrow. */
export const gettingToKnowDays = 2;

/** Days from the owner's own look to the dealer's part of getting to know a machine: it may bring more for the dealer, and a
 *  dealer wants booking two weeks before. */
export const dealerAfterLookDays = 21;

/** Days until a dealer can be booked anew, once the day proposed has passed. */
export const dealerAgainDays = 14;

/** Interval taken for the waste of a task that has none of its own (season rules), days. */
export const yearDays = 365;

/** Above this many bundles neighbours in the order of their best days are put together and bettered by moves; up to it every grouping is tried. */
export const exactUpTo = 12;
