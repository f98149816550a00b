import { join } from 'node:path';
import {
  ACTIVITY,
  ACTIVITY_STRIDE,
  ETHANOL_KG_PER_LITRE,
  LITRES_PER_KG,
  WATER_KG_PER_LITRE,
} from '../../libs/maturation/src/mixture-tables.ts';
import { DRY_SHARE, vesselOf } from '../../libs/maturation/src/geometry.ts';
import { climatologyFromNormals, zoneClimate } from '@rundlet/maturation';
import { drivesOf } from '../../libs/maturation/src/drives.ts';
import { integrate, P_COUNT } from '../../libs/maturation/src/integrate.ts';
import { ETHANOL_KG_PER_MOL, WATER_KG_PER_MOL } from '../../libs/maturation/src/vapour-pressure.ts';
import { createSteps, planSteps } from '../../libs/maturation/src/steps.ts';

const MONTHS = 240;
const ROUNDS = 20000;

const cask = {
  nominalLitres: 200,
  species: 'Quercus alba',
  fillNumber: 2,
  previousContents: 'bourbon',
};
const vessel = vesselOf(cask);
const seasons = Array.from({ length: 12 }, (_, m) => 11 - 7 * Math.cos((2 * Math.PI * m) / 12));
const drives = drivesOf(
  zoneClimate('Z', {
    normals: climatologyFromNormals({
      meanTemperatureC: seasons,
      relativeHumidityPercent: seasons.map(() => 76),
    }),
  }),
);
const steps = createSteps(512);
planSteps(steps, {
  fromDay: 16071,
  toDay: 16071 + Math.round(MONTHS * 30.4375),
  filledDay: 16071,
  stays: [{ fromDay: 16071, drives, shift: [0, 0, 0] }],
  events: [],
  marks: [16071 + Math.round(MONTHS * 30.4375)],
});
const SOAK = 2.6;

function parameters(): Float64Array {
  const p = new Float64Array(P_COUNT);
  p.set([98.4, 77.2, 0.05, -0.05, 0.01, -0.004, 0.1, 0.1, 0.1, 0.5, 0.005]);
  return p;
}

/** Nanoseconds a step of the library's own loop takes. */
export function integrationCost(): number {
  const p = parameters();
  const out = new Float64Array(2);
  let best = Infinity;
  for (let round = 0; round < 5; round++) {
    const start = performance.now();
    for (let i = 0; i < ROUNDS; i++) {
      p[2] = 1e-6 * i;
      integrate(steps, vessel, SOAK, [], p, out, 0);
    }
    best = Math.min(best, performance.now() - start);
  }
  return (1e6 * best) / ROUNDS / steps.count;
}

/** Nanoseconds a step takes in C, checked to give the same content; null without a compiler. */
export function integrationInC(
  folder: string,
  write: (file: string, text: string) => void,
  compile: (source: string, program: string) => string | null,
): number | null {
  const source = join(folder, 'integrate.c');
  write(source, cSource());
  const said = compile(source, join(folder, 'integrate'));
  if (said === null) return null;
  const [ns, ethanol, water] = said.trim().split(/\s+/).map(Number) as [number, number, number];
  const out = new Float64Array(2);
  const p = parameters();
  p[2] = 1e-6 * (ROUNDS - 1);
  integrate(steps, vessel, SOAK, [], p, out, 0);
  if (Math.abs(out[0]! - ethanol) + Math.abs(out[1]! - water) > 1e-6) {
    throw new Error(
      `C came to ${String(ethanol)} and ${String(water)} kg, the library to ${String(out[0])} and ${String(out[1])} kg`,
    );
  }
  return ns;
}

const array = (type: string, name: string, values: ArrayLike<number>): string =>
  `static const ${type} ${name}[] = {${Array.from(values, (v) => (Number.isInteger(v) ? (type === 'int' ? String(v) : `${String(v)}.0`) : v.toPrecision(17))).join(',')}};`;

function cSource(): string {
  const n = steps.count;
  const column = (name: keyof typeof steps): string =>
    array('double', name, (steps[name] as Float64Array).subarray(0, n));
  return `
#include <math.h>
#include <stdio.h>
#include <time.h>
#define N ${String(n)}
#define ETHANOL ${String(ETHANOL_KG_PER_LITRE)}
#define WATER ${String(WATER_KG_PER_LITRE)}
#define STRIDE ${String(ACTIVITY_STRIDE)}
${(['seconds', 'waterPa', 'vapourPa', 'ethanolPa', 'nodeShare', 'warmth', 'lag', 'follow', 'keep', 'soak', 'drift', 'shiftHumidity'] as const).map(column).join('\n')}
${array('int', 'nodeOffset', steps.nodeOffset.subarray(0, n))}
${array('double', 'ACTIVITY', ACTIVITY)}
${array('double', 'LPK', LITRES_PER_KG)}
${array('double', 'DRY', DRY_SHARE[0])}
static void run(const double *p, double *out) {
  const double area = ${String(vessel.innerAreaM2)}, perL = 128.0 / ${String(vessel.capacityLitres)};
  double e = p[0], w = p[1];
  const double fw = 8e-9 * area * ${String(WATER_KG_PER_MOL)} * exp(p[2]), fe = 8e-9 * 0.0625 * area * ${String(ETHANOL_KG_PER_MOL)} * exp(p[3]);
  const double hum = p[4], dr = p[5], so = ${String(SOAK)} * exp(p[6]), head = p[7], stave = p[8], ls = p[9], pd = p[10];
  double age = 1, we = NAN, ww = NAN, re = 0, rw = 0;
  for (int i = 0; i < N; i++) {
    const double dt = seconds[i];
    if (!((dt > 0 || follow[i] > 0) && e + w > 0)) continue;
    const double r = dr * drift[i];
    age *= fabs(r) < 0.02 ? 1 + r + 0.5 * r * r : exp(r);
    double me = e - 0.5 * re * dt, mw = w - 0.5 * rw * dt;
    if (!(me > 0 && mw > 0)) { me = e; mw = w; }
    const double mass = me + mw, pos = me / mass * 512; const int k = (int)pos; const double s = pos - k;
    const double lpk = LPK[k] + s * (LPK[k + 1] - LPK[k]);
    double lev = mass * lpk * perL; if (lev > 128) lev = 128;
    const int m = (int)lev; const double dry = DRY[m] + (lev - m) * (DRY[m + 1] - DRY[m]);
    const int q = nodeOffset[i] + k * 2, u = q + STRIDE; const double h = nodeShare[i];
    const double ce = ACTIVITY[q] + s * (ACTIVITY[q + 2] - ACTIVITY[q]), he = ACTIVITY[u] + s * (ACTIVITY[u + 2] - ACTIVITY[u]);
    const double cw = ACTIVITY[q + 1] + s * (ACTIVITY[q + 3] - ACTIVITY[q + 1]), hw = ACTIVITY[u + 1] + s * (ACTIVITY[u + 3] - ACTIVITY[u + 1]);
    const double d = pd * warmth[i], br = (1 - head * dry) * age * (1 + d + 0.5 * d * d), pw = waterPa[i];
    const double de = fe * br * (ce + h * (he - ce)) * ethanolPa[i];
    const double dw = fw * br * ((cw + h * (hw - cw) - hum - shiftHumidity[i]) * pw - vapourPa[i]);
    if (we != we) { const double b = dt > 0 ? 0.35 : 1; we = b * de; ww = b * dw; }
    re = (1 - ls) * lag[i] * de + ls * (de + keep[i] * (we - de));
    rw = (1 - ls) * lag[i] * dw + ls * (dw + keep[i] * (ww - dw));
    we += follow[i] * (de - we); ww += follow[i] * (dw - ww);
    if (dt == 0) continue;
    const double kpl = 1 / lpk, sh = me / mass; double se = 0, sw = 0; const double sk = so * soak[i];
    if (sk > 0) { const double x = stave * sk * sh; se = sk * kpl * sh + x * ETHANOL; sw = sk * kpl * (1 - sh) - x * WATER; }
    const double le = re * dt + se, lw = rw * dt + sw;
    e -= le * (le > 0.6 * e ? 0.6 * e / le : 1); w -= lw * (lw > 0.6 * w ? 0.6 * w / lw : 1);
  }
  out[0] = e; out[1] = w;
}
int main(void) {
  double p[] = {${Array.from(parameters().subarray(0, 11)).join(',')}}, out[2], best = 1e99;
  for (int round = 0; round < 5; round++) {
    struct timespec a, b; clock_gettime(CLOCK_MONOTONIC, &a);
    for (int i = 0; i < ${String(ROUNDS)}; i++) { p[2] = 1e-6 * i; run(p, out); }
    clock_gettime(CLOCK_MONOTONIC, &b);
    const double t = (b.tv_sec - a.tv_sec) * 1e9 + (b.tv_nsec - a.tv_nsec);
    if (t < best) best = t;
  }
  printf("%.3f %.9f %.9f\\n", best / ${String(ROUNDS)} / N, out[0], out[1]);
  return 0;
}
`;
}
