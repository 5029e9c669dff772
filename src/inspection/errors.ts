/** Codes of the faults that judging a finding raises, each with when. Those of quantities and limits stand in domain/. */
export const inspectionErrors = {
  'finding-unreadable': 'what was entered is none of the entries, or not as many values, as the specification takes',
  'longest-not-positive': 'the longest time of a test is 0 or below',
  'outside-the-table': 'a reading lies outside the table that it is looked up in',
  'resolution-not-positive': 'the smallest step of an instrument is 0 or below',
  'specification-without-verdict': 'a value to set was to be judged; its finding is whether it still turned',
  'table-point-twice': 'a table has two values for one reading',
  'table-too-short': 'a table has fewer than two points',
} as const;
