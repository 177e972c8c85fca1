import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import fc from 'fast-check';
import { expect, it } from 'vitest';
import {
  angleOf,
  cosine,
  exponential,
  fourthRoot,
  hyperbolicTangent,
  hypotenuse,
  sine,
  threeHalvesPower,
} from '../../../shared/units/same-everywhere.ts';

const ENGINE = join(import.meta.dirname, '..', '..', '..', 'shared');

/** The platform's own functions, written by others, are the independent method. */
const close = (found: number, expected: number, tolerance = 1e-15) =>
  expect(Math.abs(found - expected)).toBeLessThanOrEqual(tolerance * Math.abs(expected));

const within = (min: number, max: number) => fc.double({ min, max, noNaN: true });

it('agrees with the functions of the platform to the last digits', () => {
  fc.assert(
    fc.property(within(-700, 700), within(0, 30), within(1e-6, 1e6), (x, angle, size) => {
      close(exponential(x), Math.exp(x), 1e-15 * (1 + Math.abs(x) / 100));
      expect(Math.abs(sine(angle) - Math.sin(angle))).toBeLessThan(4e-16);
      expect(Math.abs(cosine(angle) - Math.cos(angle))).toBeLessThan(4e-16);
      close(hyperbolicTangent(x / 100), Math.tanh(x / 100));
      close(angleOf(size, angle - 15), Math.atan2(size, angle - 15));
      close(hypotenuse(size, angle), Math.hypot(size, angle));
      close(threeHalvesPower(size), size ** 1.5);
      close(fourthRoot(size), size ** 0.25);
    }),
    { numRuns: 5_000 },
  );
});

it.each([
  ['exp 0', exponential(0), 1],
  ['exp of what overflows', exponential(1_000), Number.POSITIVE_INFINITY],
  ['exp of what vanishes', exponential(-1_000), 0],
  ['tanh 0', hyperbolicTangent(0), 0],
  ['the angle to the side', angleOf(1, 0), Math.PI / 2],
  ['the angle ahead', angleOf(0, 1), 0],
  ['the angle behind', angleOf(0, -1), Math.PI],
])('is exact at the end: %s', (_title, found, expected) => expect(found).toBe(expected));

it.each(['geometry', 'structure', 'design'])(
  'is all that checks of a tank use: %s has no power or function whose last digit is open',
  (folder) => {
    // The size of a rain pipe is no part of the check of a tank.
    const others = ['rain-pipe.ts'];
    const files = readdirSync(join(ENGINE, folder)).filter((name) => !others.includes(name));
    const faults = files.flatMap((name) =>
      readFileSync(join(ENGINE, folder, name), 'utf8')
        .split('\n')
        .filter((line) => !/^\s*(\*|\/\*\*|\/\/)/.test(line))
        .filter((line) =>
          /\*\*|Math\.(sin|cos|tan|a?sinh|a?cosh|a?tanh|asin|acos|atan2?|exp|expm1|log\w*|pow|cbrt|hypot)\b/.test(
            line,
          ),
        )
        .map((line) => `${name}: ${line.trim()}`),
    );
    expect(files.length).toBeGreaterThan(0);
    expect(faults).toEqual([]);
  },
);
