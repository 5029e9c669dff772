/** Kinds of values as people call them, by zod's names for them. */
export const kindsOfValues: Readonly<Record<string, string>> = {
  string: 'a text',
  number: 'a number',
  int: 'a whole number',
  boolean: 'true or false',
  array: 'a list',
  tuple: 'a list',
  object: 'a map of keys',
  record: 'a map of keys',
};
