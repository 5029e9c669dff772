import { logGamma, stirlingRest } from './log-gamma.js';

const tiny = 1e-300;
const precision = 1e-16;
const mostTerms = 200_000;

/** Regularised lower incomplete gamma function, P(a, x) = γ(a, x)/Γ(a): the chance that a gamma variable of shape a and scale 1 is at most x.
 *  @param a  shape, finite; 0 or less is a variable that is always 0
 *  @param x  >= 0; 0 or less gives 0, infinity gives 1
 *  Source: DLMF 8.7.1 (series, below a + 1), 8.9.2 (continued fraction, above). */
export function gammaP(a: number, x: number): number {
  if (x <= 0) return 0;
  if (a <= 0 || x === Number.POSITIVE_INFINITY) return 1;
  return x < a + 1 ? lowerSeries(a, x) : 1 - upperFraction(a, x);
}

/** Regularised upper incomplete gamma function, Q(a, x) = 1 − P(a, x), accurate in its own tail.
 *  @param a  shape, finite; 0 or less is a variable that is always 0
 *  @param x  >= 0; 0 or less gives 1, infinity gives 0
 *  Source: as gammaP. */
export function gammaQ(a: number, x: number): number {
  if (x <= 0) return 1;
  if (a <= 0 || x === Number.POSITIVE_INFINITY) return 0;
  return x < a + 1 ? 1 - lowerSeries(a, x) : upperFraction(a, x);
}

function lowerSeries(a: number, x: number): number {
  let term = 1 / a;
  let sum = term;
  for (let n = 1; n < mostTerms; n += 1) {
    term *= x / (a + n);
    sum += term;
    if (term < sum * precision) break;
  }
  return Math.min(1, sum * frontFactor(a, x));
}

/** Lentz's method for the continued fraction of Q. */
function upperFraction(a: number, x: number): number {
  const front = frontFactor(a, x);
  if (front === 0) return 0;
  let b = x + 1 - a;
  let c = 1 / tiny;
  let d = 1 / b;
  let h = d;
  for (let i = 1; i < mostTerms; i += 1) {
    const an = -i * (i - a);
    b += 2;
    d = an * d + b;
    if (Math.abs(d) < tiny) d = tiny;
    c = b + an / c;
    if (Math.abs(c) < tiny) c = tiny;
    d = 1 / d;
    const step = d * c;
    h *= step;
    if (Math.abs(step - 1) < precision * 2) break;
  }
  return Math.min(1, Math.max(0, front * h));
}

/** x^a e^−x / Γ(a). From 10 up the large terms cancel by hand: (x/a)^a e^(a−x) √(a/2π) e^−rest(a). */
function frontFactor(a: number, x: number): number {
  if (a < 10) return Math.exp(a * Math.log(x) - x - logGamma(a));
  return Math.exp(-a * lessLog((x - a) / a) - stirlingRest(a)) * Math.sqrt(a / (2 * Math.PI));
}

/** u − log(1 + u) without cancellation near 0, by log(1 + u) = 2 artanh(u/(2 + u)). */
function lessLog(u: number): number {
  if (u < -0.5 || u > 1) return u - Math.log1p(u);
  const r = u / (2 + u);
  const r2 = r * r;
  let power = r * r2;
  let sum = 0;
  for (let k = 3; k < 60; k += 2) {
    const term = power / k;
    sum += term;
    if (Math.abs(term) <= Math.abs(sum) * 1e-17) break;
    power *= r2;
  }
  return (u * u) / (2 + u) - 2 * sum;
}
