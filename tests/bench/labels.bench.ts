/**
 * A thousand cask labels, each with its own code, from template to PDF, beside bwip-js making the same thousand pairs of symbols and
 * nothing else. Prints times in CPU seconds of this process, so that a busy machine does not count; leaves with 1 if a floor is missed.
 */
import bwipjs from 'bwip-js/generic';
import { caskUrl, makeCaskCode } from '@rundlet/identifiers';
import {
  drawLabel,
  EXAMPLE_FIELDS,
  toPdf,
  toPng,
  toSvg,
  toZpl,
  type Drawing,
} from '@rundlet/labels';
import { loadFonts, loadTemplate } from '../reference/labels/support.ts';

const COUNT = 1000;
const LONGEST_S = 10;
const LARGEST_RATIO = 1.3;

const origin = 'https://casks.harrowpoint.example';
const fonts = loadFonts();
const template = loadTemplate('cask-roll-100x150.json');
const codes = Array.from({ length: COUNT }, (_, serial) => makeCaskCode(100_000 + serial));
const draw = (caskCode: string): Drawing =>
  drawLabel(
    template,
    { ...EXAMPLE_FIELDS, caskCode, caskUrl: caskUrl({ origin, code: caskCode }) },
    { fonts },
  );

async function cpuSeconds(work: () => unknown): Promise<number> {
  const before = process.cpuUsage();
  await work();
  const { user, system } = process.cpuUsage(before);
  return (user + system) / 1e6;
}

const symbolsAlone = (): void => {
  for (const code of codes) {
    bwipjs.raw('qrcode', caskUrl({ origin, code }), { eclevel: 'H' } as object);
    bwipjs.raw('code128', code, {});
  }
};

for (const code of codes.slice(0, 50)) draw(code);
await toPdf(codes.slice(0, 50).map(draw));

// Three rounds, turn about; the least disturbed of each counts.
const rounds: { alone: number; labels: number; wall: number; bytes: number }[] = [];
for (let round = 0; round < 3; round++) {
  const alone = await cpuSeconds(symbolsAlone);
  let bytes = 0;
  const begun = performance.now();
  const labels = await cpuSeconds(async () => {
    bytes = (await toPdf(codes.map(draw))).length;
  });
  rounds.push({ alone, labels, wall: (performance.now() - begun) / 1000, bytes });
}
const alone = Math.min(...rounds.map((round) => round.alone));
const labels = Math.min(...rounds.map((round) => round.labels));
const wall = Math.min(...rounds.map((round) => round.wall));
const ratio = labels / alone;
console.log(
  `${COUNT} cask labels 100 × 150 mm to one PDF of ${((rounds[0]?.bytes ?? 0) / 1e6).toFixed(1)} MB: ${labels.toFixed(2)} s CPU, ${wall.toFixed(2)} s by the clock (floor ${LONGEST_S} s)`,
);
console.log(
  `bwip-js alone, the same ${COUNT} QR codes and ${COUNT} Code 128: ${alone.toFixed(2)} s CPU; ratio ${ratio.toFixed(2)} (aim ${LARGEST_RATIO})`,
);

const one = draw(codes[0] as string);
for (const [name, write] of [
  ['SVG', () => toSvg(one)],
  ['PNG at 203 dpi', () => toPng(one, 203)],
  ['PNG at 600 dpi', () => toPng(one, 600)],
  ['ZPL at 203 dpi', () => toZpl(one, 203)],
] as const) {
  write();
  const seconds = await cpuSeconds(() => {
    for (let turn = 0; turn < 10; turn++) write();
  });
  console.log(`one label to ${name}: ${(seconds * 100).toFixed(1)} ms`);
}
if (wall > LONGEST_S && labels > LONGEST_S) {
  console.error(`A thousand labels took longer than ${LONGEST_S} s.`);
  process.exitCode = 1;
}
