/**
 * How fast densities and their inverse are, on one core, beside the formula of OIML R 22 written out as a sum
 * of powers. Prints one line a case; leaves with 1 if a floor is missed.
 */
import {
  densitiesKgPerM3,
  densityKgPerM3,
  massFractionFromStrength,
  strengthFromDensity,
  strengthsFromDensities,
} from '@rundlet/alcoholometry';

const A = [
  998.20123, -192.9769495, 389.1238958, -1668.103923, 13522.15441, -88292.78388, 306287.4042,
  -613838.1234, 747017.2998, -547846.1354, 223446.0334, -39032.85426,
];
const B = [-0.20618513, -0.0052682542, 3.6130013e-5, -3.8957702e-7, 7.169354e-9, -9.9739231e-11];
const C = [
  [
    0.1693443461530087, -10.46914743455169, 71.96353469546523, -704.7478054272792,
    3924.090430035045, -12101.64659068747, 22486.46550400788, -26055.62982188164, 18523.73922069467,
    -7420.201433430137, 1285.617841998974,
  ],
  [
    -0.0119301300505701, 0.2517399633803461, -2.170575700536993, 13.53034988843029,
    -50.29988758547014, 109.635566657757, -142.2753946421155, 108.043594285623, -44.14153236817392,
    7.442971530188783,
  ],
  [
    -0.0006802995733503803, 0.01876837790289664, -0.2002561813734156, 1.02299296671922,
    -2.895696483903638, 4.810060584300675, -4.672147440794683, 2.458043105903461,
    -0.5411227621436812,
  ],
  [4.075376675622027e-6, -8.76305857347111e-6, 6.515031360099368e-6, -1.51578483698721e-6],
  [-2.788074354782409e-8, 1.345612883493354e-8],
] as const;

/** With the power operator, as the formula is printed. */
function powerSum(p: number, temperatureC: number): number {
  const T = temperatureC - 20;
  let rho = 0;
  for (let k = 0; k < 12; k++) rho += (A[k] as number) * p ** k;
  for (let k = 0; k < 6; k++) rho += (B[k] as number) * T ** (k + 1);
  for (let i = 0; i < 5; i++) {
    const row = C[i] as readonly number[];
    for (let k = 0; k < row.length; k++) rho += (row[k] as number) * p ** (k + 1) * T ** (i + 1);
  }
  return rho;
}

/** The same sum with running powers: the plain evaluation at its best. */
function runningPowerSum(p: number, temperatureC: number): number {
  const T = temperatureC - 20;
  let rho = 0;
  let power = 1;
  for (let k = 0; k < 12; k++) {
    rho += (A[k] as number) * power;
    power *= p;
  }
  power = T;
  for (let k = 0; k < 6; k++) {
    rho += (B[k] as number) * power;
    power *= T;
  }
  let ofT = T;
  for (let i = 0; i < 5; i++) {
    const row = C[i] as readonly number[];
    power = p;
    for (let k = 0; k < row.length; k++) {
      rho += (row[k] as number) * power * ofT;
      power *= p;
    }
    ofT *= T;
  }
  return rho;
}

function inputs(n: number) {
  // Additive sequences cover the domain evenly and are the same in every run.
  const p = Float64Array.from({ length: n }, (_, i) => (i * 0.6180339887498949) % 1);
  const t = Float64Array.from({ length: n }, (_, i) => -20 + 60 * ((i * 0.7548776662466927) % 1));
  const q = Float64Array.from(p, (x) => 100 * x);
  return { p, t, q, rho: densitiesKgPerM3(p, t), out: new Float64Array(n) };
}

/**
 * Best of several runs, in calls a second. The runs are short, a millisecond or two, so that the best of
 * them fell between two turns of whatever else the machine does.
 */
function perSecond(n: number, run: () => void, runs = 150): number {
  let best = Infinity;
  for (let k = 0; k < runs; k++) {
    const start = performance.now();
    run();
    best = Math.min(best, performance.now() - start);
  }
  return (1000 * n) / best;
}

const n = 20_000;
const { p, t, q, rho, out } = inputs(n);
const each = (f: (i: number) => number) => () => {
  for (let i = 0; i < n; i++) out[i] = f(i);
};
const x = (array: Float64Array, i: number): number => array[i] as number;

const rates = {
  'sum of powers, as printed': perSecond(
    n,
    each((i) => powerSum(x(p, i), x(t, i))),
  ),
  'sum of powers, running': perSecond(
    n,
    each((i) => runningPowerSum(x(p, i), x(t, i))),
  ),
  'density, one by one': perSecond(
    n,
    each((i) => densityKgPerM3(x(p, i), x(t, i))),
  ),
  'densities, a temperature each': perSecond(n, () => densitiesKgPerM3(p, t, out)),
  'densities, one temperature': perSecond(n, () => densitiesKgPerM3(p, 17.5, out)),
  'strength from density': perSecond(
    n,
    each((i) => strengthFromDensity(x(rho, i), x(t, i))),
  ),
  'strengths from densities': perSecond(n, () => strengthsFromDensities(rho, t, out)),
  'mass fraction from strength': perSecond(
    n,
    each((i) => massFractionFromStrength(x(q, i))),
  ),
};

const plain = Math.max(rates['sum of powers, as printed'], 1);
for (const [name, rate] of Object.entries(rates)) {
  console.log(
    `${name.padEnd(32)} ${(rate / 1e6).toFixed(2).padStart(7)} million/s  ${(rate / plain).toFixed(1).padStart(6)} × the printed sum`,
  );
}

let worst = 0;
for (let i = 0; i < n; i++)
  worst = Math.max(worst, Math.abs(powerSum(x(p, i), x(t, i)) - x(rho, i)));
console.log(`largest difference from the printed sum: ${worst.toExponential(1)} kg/m³`);

// By the processor's own clock, because a long run does not fall between two turns of other work.
const sizes = [2_500, 10_000, 40_000, 160_000, 640_000];
const perElement = sizes.map((size) => {
  const stock = inputs(size);
  let best = Infinity;
  for (let k = 0; k < 12; k++) {
    const start = process.cpuUsage().user;
    const repeats = 640_000 / size;
    for (let r = 0; r < repeats; r++) strengthsFromDensities(stock.rho, stock.t, stock.out);
    best = Math.min(best, process.cpuUsage().user - start);
  }
  return (1000 * best) / 640_000;
});
console.log(
  `strengths from densities, ns an element at n = ${sizes.join(', ')}: ${perElement.map((ns) => ns.toFixed(0)).join(', ')}`,
);

const floors: [string, boolean][] = [
  ['2 million densities a second', rates['density, one by one'] >= 2e6],
  ['300,000 inversions a second', rates['strength from density'] >= 3e5],
  ['3 × the printed sum', rates['density, one by one'] >= 3 * rates['sum of powers, as printed']],
  [
    '3 × even running powers, at one temperature',
    rates['densities, one temperature'] >= 3 * rates['sum of powers, running'],
  ],
  ['the digits of the plain sum', worst < 2e-9],
  ['linear in n', Math.max(...perElement) < 1.5 * Math.min(...perElement)],
];
for (const [what, reached] of floors) console.log(`${reached ? 'reached' : 'MISSED '} ${what}`);
if (floors.some(([, reached]) => !reached)) process.exitCode = 1;
