/** What is reckoned with of the winter at home, and where it comes from. */
export interface Climate {
  /** Average days of the first and the last frost, `MM-DD`. */
  readonly first: FrostDay;
  readonly last: FrostDay;
  /** Coldest night expected, degrees Celsius; null where nobody named one and no whole year of nights is known. */
  readonly coldestCelsius: number | null;
  /** Whether the household named its coldest night. */
  readonly isColdestNamed: boolean;
  /** Nights that the thermometer told of; null where no thermometer is set. */
  readonly nights: number | null;
}

/** An average day of frost. */
export interface FrostDay {
  readonly monthDay: string;
  /** Whether the household named a day; otherwise the almanac's stands in. */
  readonly isNamed: boolean;
  /** Seasons of the thermometer that are mixed in. */
  readonly seasons: number;
}
