/**
 * The standard normal distribution function, to about 15 digits: the series around zero, and Laplace's continued fraction
 * in the tails (Abramowitz and Stegun 26.2.11 and 26.2.14).
 */
export function normalBelow(value: number): number {
  const size = Math.abs(value);
  const density = Math.exp((-size * size) / 2) / Math.sqrt(2 * Math.PI);
  const above = size < 3 ? 0.5 - density * seriesOf(size) : density * fractionOf(size);
  return value < 0 ? above : 1 - above;
}

function seriesOf(value: number): number {
  let term = value;
  let sum = term;
  for (let odd = 3; Math.abs(term) > 1e-17 * sum; odd += 2) {
    term *= (value * value) / odd;
    sum += term;
  }
  return sum;
}

function fractionOf(value: number): number {
  let fraction = value;
  for (let step = 60; step > 0; step -= 1) fraction = value + step / fraction;
  return 1 / fraction;
}
