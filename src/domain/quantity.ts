import { Fault } from './fault.js';

/** What is measured; units convert only within one of these. */
export type Dimension =
  | 'length'
  | 'torque'
  | 'pressure'
  | 'volume'
  | 'mass'
  | 'force'
  | 'temperature'
  | 'voltage'
  | 'time'
  | 'ratio'
  | 'count'
  | 'speed'
  | 'angle'
  | 'specific-gravity';

interface Unit {
  readonly dimension: Dimension;
  /** Base units in one of this unit: mm, N m, kPa, L, kg, N, C, V, s, %, pcs, rpm, degree, sg. */
  readonly factor: number;
  /** Added to a value of this unit before the factor: temperatures only. */
  readonly before?: number;
  readonly spellings: readonly string[];
}

/** Exact factors. Source: NIST SP 811 (2008) App. B.8; international yard and pound (1959); US gallon of 231 cubic inches. */
const units: Readonly<Record<string, Unit>> = {
  mm: { dimension: 'length', factor: 1, spellings: ['millimetre', 'millimeter', 'millimetres', 'millimeters'] },
  cm: { dimension: 'length', factor: 10, spellings: ['centimetre', 'centimeter'] },
  m: { dimension: 'length', factor: 1000, spellings: ['metre', 'meter', 'metres', 'meters'] },
  in: { dimension: 'length', factor: 25.4, spellings: ['inch', 'inches', '"'] },
  ft: { dimension: 'length', factor: 304.8, spellings: ['foot', 'feet'] },
  'N m': {
    dimension: 'torque',
    factor: 1,
    spellings: ['nm', 'newton metre', 'newton meter', 'newton metres', 'newton meters'],
  },
  'lbf ft': {
    dimension: 'torque',
    factor: 1.3558179483314003,
    spellings: ['lb ft', 'lbs ft', 'ft lb', 'ft lbf', 'ft lbs', 'foot pound', 'foot pounds', 'pound feet'],
  },
  'lbf in': {
    dimension: 'torque',
    factor: 0.1129848290276167,
    spellings: ['lb in', 'lbs in', 'in lb', 'in lbf', 'in lbs', 'inch pound', 'inch pounds'],
  },
  'kgf m': { dimension: 'torque', factor: 9.80665, spellings: ['kgfm', 'kg m'] },
  kPa: { dimension: 'pressure', factor: 1, spellings: ['kilopascal', 'kilopascals'] },
  MPa: { dimension: 'pressure', factor: 1000, spellings: [] },
  bar: { dimension: 'pressure', factor: 100, spellings: [] },
  psi: { dimension: 'pressure', factor: 6.894757293168361, spellings: ['lbf/in2', 'lb/in2', 'psig'] },
  L: { dimension: 'volume', factor: 1, spellings: ['l', 'litre', 'liter', 'litres', 'liters', 'dm3'] },
  mL: { dimension: 'volume', factor: 0.001, spellings: ['ml', 'cc', 'cm3', 'millilitre'] },
  'US qt': { dimension: 'volume', factor: 0.946352946, spellings: ['qt', 'quart', 'quarts', 'US quart', 'US quarts'] },
  'US gal': {
    dimension: 'volume',
    factor: 3.785411784,
    spellings: ['gal', 'gallon', 'gallons', 'US gallon', 'US gallons'],
  },
  'US fl oz': { dimension: 'volume', factor: 0.0295735295625, spellings: ['fl oz', 'floz'] },
  'US pt': { dimension: 'volume', factor: 0.473176473, spellings: ['pt', 'pint', 'pints', 'US pint', 'US pints'] },
  kg: { dimension: 'mass', factor: 1, spellings: ['kilogram'] },
  g: { dimension: 'mass', factor: 0.001, spellings: ['gram', 'grams'] },
  lb: { dimension: 'mass', factor: 0.45359237, spellings: ['lbs', 'pound', 'pounds'] },
  oz: { dimension: 'mass', factor: 0.028349523125, spellings: ['ounce', 'ounces'] },
  N: { dimension: 'force', factor: 1, spellings: ['newton', 'newtons'] },
  kgf: { dimension: 'force', factor: 9.80665, spellings: [] },
  lbf: { dimension: 'force', factor: 4.4482216152605, spellings: [] },
  C: { dimension: 'temperature', factor: 1, spellings: ['°c', 'degc', 'celsius'] },
  F: { dimension: 'temperature', factor: 5 / 9, before: -32, spellings: ['°f', 'degf', 'fahrenheit'] },
  V: { dimension: 'voltage', factor: 1, spellings: ['volt', 'volts'] },
  mV: { dimension: 'voltage', factor: 0.001, spellings: [] },
  s: { dimension: 'time', factor: 1, spellings: ['sec', 'second', 'seconds'] },
  min: { dimension: 'time', factor: 60, spellings: ['minute', 'minutes'] },
  h: { dimension: 'time', factor: 3600, spellings: ['hour', 'hours', 'hr', 'hrs'] },
  '%': { dimension: 'ratio', factor: 1, spellings: ['percent'] },
  pcs: { dimension: 'count', factor: 1, spellings: ['pc', 'piece', 'pieces'] },
  rpm: { dimension: 'speed', factor: 1, spellings: ['1/min', 'r/min', 'min-1'] },
  deg: { dimension: 'angle', factor: 1, spellings: ['°', 'degree', 'degrees'] },
  sg: { dimension: 'specific-gravity', factor: 1, spellings: [] },
};

const spellings = new Map<string, string>();
for (const [name, unit] of Object.entries(units)) {
  for (const spelling of [name, ...unit.spellings]) {
    spellings.set(plainSpelling(spelling), name);
    const lower = plainSpelling(spelling).toLowerCase();
    if (!spellings.has(lower)) spellings.set(lower, name);
  }
}

/** What a quantity looks like, for whoever wrote one that cannot be read. */
const examples: Readonly<Record<Dimension, string>> = {
  length: '10 mm or 17 5/8 in',
  torque: '85 N m or 63 lbf ft',
  pressure: '1,8 bar or 26 psi',
  volume: '4.2 L or 4 1/2 US qt',
  mass: '2.5 kg or 5 1/2 lb',
  force: '40 N or 9 lbf',
  temperature: '-25 C or 5 F',
  voltage: '12.6 V',
  time: '0.8 s or 5 min',
  ratio: '75 %',
  count: '2 pcs',
  speed: '2600 rpm',
  angle: '3.5 deg',
  'specific-gravity': '1.26 sg',
};

/** A number with its unit, such as 4.2 L. */
export interface Quantity {
  readonly value: number;
  readonly unit: string;
  readonly dimension: Dimension;
}

/** `1½` and `1 1⁄2` as a phone writes them: `1 1/2`. Unicode names each such sign by its two numbers (compatibility decomposition). */
function plainFractions(text: string): string {
  return text.replace(/ ?[¼½¾⅐-⅞]/g, (sign) => ` ${sign.trim().normalize('NFKC')}`).replaceAll('\u2044', '/');
}

/** A quantity from text: decimals with point or comma, fractions ("17 5/8 in", "1/16 in"), a minus sign. No marks between thousands:
 *  a comma with exactly three digits behind it may be one, so it is refused, as "1,234 psi" could be told as 1.234 or 1234.
 *  @param text       at most 60 characters
 *  @param dimension  where given, any other is refused
 *  @param unitIfBare unit of a bare number; absent: a bare number is refused
 *  @throws Fault quantity-unreadable, unit-unknown, unit-of-another-quantity
 *  Source: common practice, no source. */
export function parseQuantity(text: string, dimension?: Dimension, unitIfBare?: string): Quantity {
  const shown = JSON.stringify(text.slice(0, 60));
  const shape =
    /^([+-]?) ?(?:(\d{1,9})[ -](\d{1,6})\/(\d{1,6})|(\d{1,6})\/(\d{1,6})|(\d{1,12}(?:[.,]\d{1,12})?|[.,]\d{1,12})) ?(.*)$/;
  const parts =
    text.length > 60 ? null : shape.exec(plainFractions(text).trim().replace(/\s+/g, ' ').replaceAll('−', '-'));
  if (parts === null) {
    throw new Fault({
      code: 'quantity-unreadable',
      message: 'This is not a number with a unit',
      found: shown,
      remedy: `Write it such as ${exampleOf(dimension, unitIfBare)}.`,
    });
  }
  const [, sign, whole, top, bottom, loneTop, loneBottom, decimal, unitText = ''] = parts;
  const numerator = Number(top ?? loneTop ?? '0');
  const denominator = Number(bottom ?? loneBottom ?? '1');
  const magnitude =
    decimal === undefined ? Number(whole ?? '0') + numerator / denominator : Number(decimal.replace(',', '.'));
  if (!Number.isFinite(magnitude) || (decimal === undefined && denominator === 0)) {
    throw new Fault({
      code: 'quantity-unreadable',
      message: 'A fraction needs a number other than 0 below its line',
      found: shown,
      remedy: 'Write it such as 17 5/8 in.',
    });
  }
  if (/^[.,'’]? ?\d/.test(unitText) && !spellings.has(plainSpelling(unitText))) {
    throw new Fault({
      code: 'quantity-unreadable',
      message: 'These are more numbers than one',
      found: shown,
      remedy: `Write one number without marks between thousands, such as ${exampleOf(dimension, unitIfBare)}.`,
    });
  }
  if (decimal !== undefined && /^[1-9]\d{0,2},\d{3}$/.test(decimal)) {
    const behind = unitText === '' ? '' : ` ${unitText.trim()}`;
    const signed = sign === '-' ? `-${decimal}` : decimal;
    throw new Fault({
      code: 'quantity-unreadable',
      message: 'This number can be read in two ways',
      found: shown,
      remedy: `Write ${signed.replace(',', '')}${behind} or ${signed.replace(',', '.')}${behind}.`,
    });
  }
  const unitGiven = unitText.trim() === '' ? unitIfBare : unitText.trim();
  if (unitGiven === undefined) {
    throw new Fault({
      code: 'quantity-unreadable',
      message: 'The unit is missing',
      found: shown,
      remedy: `Write a unit behind the number, such as ${dimension === undefined ? '10 mm' : examples[dimension]}.`,
    });
  }
  const unit = unitNamed(unitGiven, dimension);
  if (dimension !== undefined && dimensionOf(unit) !== dimension) {
    throw new Fault({
      code: 'unit-of-another-quantity',
      message: `${unit} measures ${dimensionOf(unit)}, but here a ${dimension} is wanted`,
      found: shown,
      remedy: `Use ${unitsOf(dimension).slice(0, 4).join(', ')}.`,
    });
  }
  const value = sign === '-' ? -magnitude : magnitude;
  return { value: value === 0 ? 0 : value, unit, dimension: dimensionOf(unit) };
}

/** Of the dimension that is wanted, or of the unit that a bare number would take; else of several. */
function exampleOf(dimension: Dimension | undefined, unitIfBare: string | undefined): string {
  const bare = unitIfBare === undefined ? undefined : units[spellings.get(plainSpelling(unitIfBare)) ?? ''];
  const wanted = dimension ?? bare?.dimension;
  return wanted === undefined ? '10 mm, 17 5/8 in, 3,5 bar or -25 C' : examples[wanted];
}

/** The standard name of a unit from any of its spellings.
 *  @param dimension  what is wanted, so that a refusal names only units that fit; absent: any
 *  @throws Fault unit-unknown */
export function unitNamed(text: string, dimension?: Dimension): string {
  const plain = plainSpelling(text);
  const name = spellings.get(plain) ?? spellings.get(plain.toLowerCase());
  if (name === undefined) {
    throw new Fault({
      code: 'unit-unknown',
      message: 'This unit is not known',
      found: JSON.stringify(text.slice(0, 30)),
      remedy:
        dimension === undefined
          ? `Known units: ${Object.keys(units).join(', ')}.`
          : `Use ${unitsOf(dimension).slice(0, 4).join(', ')}.`,
    });
  }
  return name;
}

function dimensionOf(unit: string): Dimension {
  return unitCalled(unit).dimension;
}

function unitsOf(dimension: Dimension): readonly string[] {
  return Object.keys(units).filter((name) => dimensionOf(name) === dimension);
}

/** The value of a quantity in another unit of the same dimension.
 *  @throws Fault unit-of-another-quantity, unit-unknown */
export function convert(quantity: Quantity, unitText: string): number {
  const to = unitNamed(unitText);
  if (dimensionOf(to) !== quantity.dimension) {
    throw new Fault({
      code: 'unit-of-another-quantity',
      message: `${quantity.unit} measures ${quantity.dimension}, ${to} measures ${dimensionOf(to)}`,
      remedy: `Use ${unitsOf(quantity.dimension).slice(0, 4).join(', ')}.`,
    });
  }
  if (to === quantity.unit) return quantity.value;
  const from = unitCalled(quantity.unit);
  const target = unitCalled(to);
  const base = (quantity.value + (from.before ?? 0)) * from.factor;
  return base / target.factor - (target.before ?? 0);
}

/** A difference (a tolerance, an instrument's step) in another unit: factors only, so that 1 C is 1.8 F. */
export function convertDifference(quantity: Quantity, unitText: string): number {
  const to = unitNamed(unitText);
  const zero = convert({ ...quantity, value: 0 }, to);
  return convert(quantity, to) - zero;
}

function unitCalled(name: string): Unit {
  const unit = units[name];
  if (unit === undefined) throw new Fault({ code: 'unit-unknown', message: `The unit ${name} is not known` });
  return unit;
}

/** `ft·lb`, `ft-lb`, `ft.lb` and `ft lb` are one; so are `in` and `in.`, `°C` and `° C`, `cm3` and `cm³`, and the inch sign however a
 *  phone bends it. A dash before a digit stays: `min-1` is no product. */
function plainSpelling(text: string): string {
  return text
    .replace(/[“”″]|''|’’|′′/g, '"')
    .normalize('NFKC')
    .replace(/(?<=[A-Za-z]) ?[·⋅.*×-] ?(?=[A-Za-z])/g, ' ')
    .replace(/(?<=[A-Za-z])\.$/, '')
    .replace(/\s+/g, ' ')
    .replace('° ', '°')
    .trim();
}
