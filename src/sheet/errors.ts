/** Codes of the faults that writing a sheet raises, each with when. */
export const sheetErrors = {
  'order-impossible': 'tasks wait for each other, so that none can be first; a checked plan never does',
} as const;
